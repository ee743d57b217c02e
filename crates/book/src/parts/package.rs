//! A build plate as 3MF: the core specification, a model in a ZIP of three entries.
//!
//! Names of parts, types and namespaces: 3MF core specification 1.4.0, 2.1 to 2.2.3, 3.1 to 4.1.4,
//! C.1 to C.3; those of the Open Packaging Conventions as quoted there.

use std::io::{self, BufWriter, Write};

use glowloom_plan::tiles::grains::Grains;
use glowloom_plan::tiles::plates::Lay;

use super::archive::Archive;
use super::solid::Mesh;
use crate::svg::escaped;

const TYPES: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">\
    <Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/>\
    <Default Extension=\"model\" ContentType=\"application/vnd.ms-package.3dmanufacturing-3dmodel+xml\"/>\
    </Types>\n";

const RELATIONSHIPS: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\
    <Relationship Target=\"/3D/3dmodel.model\" Id=\"rel0\" \
    Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/>\
    </Relationships>\n";

const NAMESPACE: &str = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02";

/// Copies of one part on a bed.
pub(super) struct BuildPlate<'p> {
    /// Of the part.
    pub name: &'p str,
    /// In a few words, for whoever opens it.
    pub title: String,
    pub mesh: &'p Mesh,
    /// Outer size as drawn: right, back.
    pub size: (Grains, Grains),
    pub bed: (Grains, Grains),
    pub copies: u64,
    pub lay: Lay,
}

/// Writes it.
///
/// # Errors
/// Those of the writer.
pub(super) fn package(plate: &BuildPlate<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut archive = Archive::default();
    archive.add("[Content_Types].xml", |out| out.write_all(TYPES.as_bytes()))?;
    archive.add("_rels/.rels", |out| out.write_all(RELATIONSHIPS.as_bytes()))?;
    archive.add("3D/3dmodel.model", |out| {
        let mut out = BufWriter::with_capacity(1 << 16, out);
        write_model(plate, &mut out).and_then(|()| out.flush())
    })?;
    out.write_all(&archive.finish()?)
}

fn write_model(plate: &BuildPlate<'_>, out: &mut impl Write) -> io::Result<()> {
    write!(
        out,
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <model unit=\"millimeter\" xml:lang=\"en\" xmlns=\"{NAMESPACE}\">\n\
         <metadata name=\"Title\">{}</metadata>\n\
         <resources>\n<object id=\"1\" type=\"model\" name=\"{}\">\n<mesh>\n<vertices>\n",
        escaped(&plate.title),
        escaped(plate.name)
    )?;
    for corner in &plate.mesh.corners {
        let [x, y, z] = corner.map(Grains::millimetres);
        writeln!(out, "<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>")?;
    }
    out.write_all(b"</vertices>\n<triangles>\n")?;
    for [a, b, c] in &plate.mesh.triangles {
        writeln!(out, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>")?;
    }
    out.write_all(b"</triangles>\n</mesh>\n</object>\n</resources>\n<build>\n")?;
    for copy in 0..plate.copies {
        let (right, back) = place(plate, copy);
        let (x, y) = (right.millimetres(), back.millimetres());
        let turn = if plate.lay.turned { "0 1 0 -1 0 0 0 0 1" } else { "1 0 0 0 1 0 0 0 1" };
        writeln!(out, "<item objectid=\"1\" transform=\"{turn} {x} {y} 0\"/>")?;
    }
    out.write_all(b"</build>\n</model>\n")
}

/// Where a copy's own origin comes to lie: copies in rows from the front left, all of them in the
/// middle of the bed.
fn place(plate: &BuildPlate<'_>, copy: u64) -> (Grains, Grains) {
    let lay = &plate.lay;
    let abreast = lay.abreast.max(1);
    let size = if lay.turned { (plate.size.1, plate.size.0) } else { plate.size };
    let steps = |count: u64| u32::try_from(count).unwrap_or(u32::MAX);
    let (columns, rows) = (abreast.min(plate.copies), plate.copies.div_ceil(abreast));
    let used =
        |count: u64, step: Grains, size: Grains| step * steps(count.saturating_sub(1)) + size;
    let margin = |bed: Grains, used: Grains| Grains((bed - used).0.max(0) / 2);
    let right =
        margin(plate.bed.0, used(columns, lay.step.0, size.0)) + lay.step.0 * steps(copy % abreast);
    let back =
        margin(plate.bed.1, used(rows, lay.step.1, size.1)) + lay.step.1 * steps(copy / abreast);
    // Turned to the left, what was at the front right comes to the origin.
    if lay.turned { (right + size.0, back) } else { (right, back) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_plan::tiles::rim::RimShape;

    fn mm(millimetres: i64) -> Grains {
        Grains(millimetres * 32_768)
    }

    fn bytes(turned: bool, copies: u64) -> Vec<u8> {
        let shape = RimShape { length: mm(40), depth: mm(20), thickness: mm(1) };
        let step = if turned { (mm(25), mm(45)) } else { (mm(45), mm(25)) };
        let plate = BuildPlate {
            name: "rim-40mm",
            title: "A <b> & c".into(),
            mesh: &super::super::tile::rim(&shape),
            size: (shape.length, shape.depth),
            bed: (mm(100), mm(60)),
            copies,
            lay: Lay { abreast: 2, turned, step },
        };
        let mut bytes = Vec::new();
        package(&plate, &mut bytes).unwrap();
        bytes
    }

    /// The model, which an archive holds last.
    fn model(bytes: &[u8]) -> String {
        let entries = super::super::archive::entries(bytes);
        let names: Vec<_> = entries.iter().map(|entry| entry.0.as_str()).collect();
        assert_eq!(names, ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]);
        String::from_utf8(entries[2].1.clone()).unwrap()
    }

    #[test]
    fn a_plate_lies_in_the_middle_of_the_bed() {
        let text = model(&bytes(false, 3));
        let items: Vec<_> = text.lines().filter(|line| line.starts_with("<item")).collect();
        // 85 of 100 wide, 45 of 60 deep.
        let at = |x: &str| format!("<item objectid=\"1\" transform=\"1 0 0 0 1 0 0 0 1 {x} 0\"/>");
        assert_eq!(items, [at("7.5 7.5"), at("52.5 7.5"), at("7.5 32.5")]);
        assert!(text.contains("<metadata name=\"Title\">A &lt;b&gt; &amp; c</metadata>"));
        assert!(text.contains("unit=\"millimeter\""));
        assert!(text.contains("<object id=\"1\" type=\"model\" name=\"rim-40mm\">"));
    }

    /// 45 of 100 wide, 40 of 60 deep; turned about its own corner, it reaches 20 to the left of it.
    #[test]
    fn a_turned_part_stays_on_the_bed() {
        let text = model(&bytes(true, 2));
        assert!(text.contains("0 1 0 -1 0 0 0 0 1 47.5 10 0\""), "{text}");
        assert!(text.contains("0 1 0 -1 0 0 0 0 1 72.5 10 0\""), "{text}");
    }

    #[test]
    fn the_same_plate_gives_the_same_bytes() {
        assert_eq!(bytes(false, 3), bytes(false, 3));
    }
}
