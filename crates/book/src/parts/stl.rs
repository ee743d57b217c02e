//! A mesh as binary STL: an 80-byte header, a count, 50 bytes a triangle, little-endian. The format
//! has no unit; millimetres by habit.

use std::io::{self, Write};

use super::solid::Mesh;

/// Writes it. The header must not begin with "solid", which would mean the text form.
///
/// # Errors
/// Those of the writer; more triangles than a 32-bit count holds.
pub fn stl(mesh: &Mesh, name: &str, out: &mut dyn Write) -> io::Result<()> {
    let mut out = io::BufWriter::with_capacity(1 << 16, out);
    let mut header = [0; 80];
    let text = format!("Glowloom {name}, millimetres");
    for (to, from) in header.iter_mut().zip(text.bytes()) {
        *to = from;
    }
    out.write_all(&header)?;
    let count = u32::try_from(mesh.triangles.len()).map_err(io::Error::other)?;
    out.write_all(&count.to_le_bytes())?;
    for triangle in &mesh.triangles {
        out.write_all(&facet(mesh.places(triangle).map(|place| place.map(|at| at.millimetres()))))?;
    }
    out.flush()
}

/// One triangle: its normal, its corners, two bytes of nothing.
fn facet(corners: [[f64; 3]; 3]) -> [u8; 50] {
    let mut bytes = [0; 50];
    let numbers = std::iter::once(normal(corners)).chain(corners).flatten();
    for (to, number) in bytes.chunks_exact_mut(4).zip(numbers) {
        #[expect(clippy::cast_possible_truncation, reason = "grains are exact in 32 bits")]
        to.copy_from_slice(&(number as f32).to_le_bytes());
    }
    bytes
}

/// Of length 1, outward.
fn normal([a, b, c]: [[f64; 3]; 3]) -> [f64; 3] {
    let u: [f64; 3] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
    let v: [f64; 3] = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
    let across = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    let length = across.iter().map(|x| x * x).sum::<f64>().sqrt();
    // Adding nothing makes minus nothing plain.
    across.map(|x| x / length + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_plan::tiles::grains::Grains;
    use glowloom_plan::tiles::rim::RimShape;

    /// A cube of 12 triangles is 684 bytes (84 + 50 n).
    #[test]
    fn a_cube() {
        let ten = Grains::of(glowloom_units::Metres(0.01));
        let mesh = super::super::tile::rim(&RimShape { length: ten, depth: ten, thickness: ten });
        let mut bytes = Vec::new();
        stl(&mesh, "cube", &mut bytes).unwrap();
        assert_eq!(bytes.len(), 684);
        assert!(bytes.starts_with(b"Glowloom cube, millimetres\0"));
        assert_eq!(bytes[80..84], 12u32.to_le_bytes());
        let number = |at: usize| f32::from_le_bytes(std::array::from_fn(|i| bytes[84 + at + i]));
        // The first face is that to the left: its normal, then its corners counter-clockwise.
        let first: Vec<f32> = (0..12).map(|i| number(4 * i)).collect();
        assert_eq!(first, [-1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 10.0, 0.0, 10.0, 10.0]);
        assert_eq!(bytes[84 + 48..84 + 50], [0, 0]);
        for triangle in 0..12 {
            let normal: f32 = (0..3).map(|i| number(triangle * 50 + 4 * i).powi(2)).sum();
            assert!((normal - 1.0).abs() < 1e-6);
        }
    }
}
