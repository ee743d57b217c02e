//! Drawings as the pages of one PDF, with its fonts, bookmarks and page labels inside.
//!
//! Coordinates are the drawing's millimetres: one matrix for each page turns them into points with the
//! origin below. The same drawings give the same bytes; there is no date.

use std::collections::BTreeMap;
use std::io::{self, Write};

use flate2::Compression;
use flate2::write::ZlibEncoder;
use pdf_writer::types::{
    CidFontType, FontFlags, LineCapStyle, LineJoinStyle, PageMode, SystemInfo, UnicodeCmap,
};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect as PdfRect, Ref, Str, TextStr};

use super::font::{Font, Weight, font};
use super::text::{Anchor, Hand};
use super::{Drawing, Ink, Item, Step, Stroke};
use crate::svg::Point;

/// Points to a millimetre: 72 to the inch of 25.4 mm.
const POINTS: f64 = 72.0 / 25.4;

/// One page.
pub struct Page<'a> {
    /// Width and height, mm.
    pub size: (f64, f64),
    /// What is on it.
    pub drawing: &'a Drawing,
    /// What its bookmark says.
    pub bookmark: String,
    /// The bookmark that it stands under, if any: pages under one follow each other.
    pub under: Option<String>,
}

/// Letters of each weight that were used, by glyph.
#[derive(Default)]
struct Used {
    regular: BTreeMap<u16, (char, u16)>,
    bold: BTreeMap<u16, (char, u16)>,
}

impl Used {
    fn of(&mut self, weight: Weight) -> &mut BTreeMap<u16, (char, u16)> {
        match weight {
            Weight::Regular => &mut self.regular,
            Weight::Bold => &mut self.bold,
        }
    }
}

/// Writes pages as a document of that title.
///
/// # Errors
/// Those of the writer, or of packing bytes in memory.
pub fn document(title: &str, pages: &[Page<'_>], out: &mut dyn Write) -> io::Result<()> {
    let mut next = 0;
    let mut reference = || {
        next += 1;
        Ref::new(next)
    };
    let (catalog, tree, info, outline) = (reference(), reference(), reference(), reference());
    let fonts =
        [Weight::Regular, Weight::Bold].map(|weight| (weight, FontRefs::new(&mut reference)));
    let references: Vec<(Ref, Ref)> = pages.iter().map(|_| (reference(), reference())).collect();

    let mut pdf = Pdf::new();
    pdf.set_version(1, 7);
    let mut used = Used::default();
    for (page, (id, content)) in pages.iter().zip(&references) {
        let (width, height) = (points(page.size.0), points(page.size.1));
        let bytes = packed(&drawn(page, &mut used))?;
        pdf.stream(*content, &bytes).filter(Filter::FlateDecode);
        let mut written = pdf.page(*id);
        written.parent(tree).media_box(PdfRect::new(0.0, 0.0, width, height)).contents(*content);
        let mut resources = written.resources();
        let mut named = resources.fonts();
        for (weight, refs) in &fonts {
            named.pair(name(*weight), refs.font);
        }
        named.finish();
        resources.finish();
    }
    pdf.pages(tree).kids(references.iter().map(|(id, _)| *id)).count(count(pages.len()));
    for (weight, refs) in &fonts {
        refs.write(&mut pdf, font(*weight), used.of(*weight))?;
    }
    let targets: Vec<(Ref, f32)> =
        pages.iter().zip(&references).map(|(p, (id, _))| (*id, points(p.size.1))).collect();
    bookmarks(&mut pdf, outline, pages, &targets, &mut reference);
    let mut about = pdf.document_info(info);
    about.title(TextStr(title)).producer(TextStr("Glowloom"));
    about.finish();
    let mut root = pdf.catalog(catalog);
    root.pages(tree).outlines(outline).page_mode(PageMode::UseOutlines).lang(TextStr("en-GB"));
    root.viewer_preferences().pair(Name(b"DisplayDocTitle"), true);
    root.finish();
    out.write_all(&pdf.finish())
}

fn count(length: usize) -> i32 {
    i32::try_from(length).unwrap_or(i32::MAX)
}

#[expect(clippy::cast_possible_truncation, reason = "a place on paper, to the thousandth")]
fn narrow(value: f64) -> f32 {
    ((value * 10_000.0).round() / 10_000.0 + 0.0) as f32
}

fn points(millimetres: f64) -> f32 {
    narrow(millimetres * POINTS)
}

fn name(weight: Weight) -> Name<'static> {
    match weight {
        Weight::Regular => Name(b"R"),
        Weight::Bold => Name(b"B"),
    }
}

fn packed(bytes: &[u8]) -> io::Result<Vec<u8>> {
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::new(9));
    packer.write_all(bytes)?;
    packer.finish()
}

/// Bookmarks, those of one group under it; a group's leads to its first page.
fn bookmarks(
    pdf: &mut Pdf,
    outline: Ref,
    pages: &[Page<'_>],
    targets: &[(Ref, f32)],
    reference: &mut impl FnMut() -> Ref,
) {
    /// A bookmark, the page that it leads to, what is under it.
    struct Mark<'a> {
        id: Ref,
        title: &'a str,
        page: usize,
        inner: Vec<(Ref, &'a str, usize)>,
    }
    let mut marks: Vec<Mark> = Vec::new();
    for (number, page) in pages.iter().enumerate() {
        match &page.under {
            None => marks.push(Mark {
                id: reference(),
                title: &page.bookmark,
                page: number,
                inner: Vec::new(),
            }),
            Some(group) => {
                if marks.last().is_none_or(|mark| mark.title != group || mark.inner.is_empty()) {
                    let id = reference();
                    marks.push(Mark { id, title: group, page: number, inner: Vec::new() });
                }
                if let Some(mark) = marks.last_mut() {
                    mark.inner.push((reference(), &page.bookmark, number));
                }
            }
        }
    }
    let leads = |item: &mut pdf_writer::writers::OutlineItem<'_>, page: usize| {
        if let Some((id, top)) = targets.get(page) {
            item.dest().page(*id).xyz(0.0, *top, None);
        }
    };
    let mut all = pdf.outline(outline);
    if let (Some(first), Some(last)) = (marks.first(), marks.last()) {
        all.first(first.id).last(last.id).count(count(marks.len()));
    }
    all.finish();
    for (i, mark) in marks.iter().enumerate() {
        let mut item = pdf.outline_item(mark.id);
        item.title(TextStr(mark.title)).parent(outline);
        if let Some(before) = i.checked_sub(1).and_then(|i| marks.get(i)) {
            item.prev(before.id);
        }
        if let Some(after) = marks.get(i + 1) {
            item.next(after.id);
        }
        if let (Some(first), Some(last)) = (mark.inner.first(), mark.inner.last()) {
            item.first(first.0).last(last.0).count(-count(mark.inner.len()));
        }
        leads(&mut item, mark.page);
        item.finish();
        for (k, (id, title, page)) in mark.inner.iter().enumerate() {
            let mut item = pdf.outline_item(*id);
            item.title(TextStr(title)).parent(mark.id);
            if let Some(before) = k.checked_sub(1).and_then(|k| mark.inner.get(k)) {
                item.prev(before.0);
            }
            if let Some(after) = mark.inner.get(k + 1) {
                item.next(after.0);
            }
            leads(&mut item, *page);
        }
    }
}

/// The objects of an embedded font.
struct FontRefs {
    font: Ref,
    letters: Ref,
    descriptor: Ref,
    file: Ref,
    unicode: Ref,
}

impl FontRefs {
    fn new(reference: &mut impl FnMut() -> Ref) -> Self {
        Self {
            font: reference(),
            letters: reference(),
            descriptor: reference(),
            file: reference(),
            unicode: reference(),
        }
    }

    /// The whole font, with the widths and letters of the glyphs that were used.
    fn write(
        &self,
        pdf: &mut Pdf,
        font: &Font,
        used: &BTreeMap<u16, (char, u16)>,
    ) -> io::Result<()> {
        let base = Name(font.name.as_bytes());
        let system =
            SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
        let thousandths = |units: f64| narrow(units * 1000.0 / font.units());
        pdf.type0_font(self.font)
            .base_font(base)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(self.letters)
            .to_unicode(self.unicode);
        let mut letters = pdf.cid_font(self.letters);
        letters
            .subtype(CidFontType::Type2)
            .base_font(base)
            .system_info(system)
            .font_descriptor(self.descriptor)
            .default_width(0.0)
            .cid_to_gid_map_predefined(Name(b"Identity"));
        let mut widths = letters.widths();
        for (glyph, (_, advance)) in used {
            widths.consecutive(*glyph, [thousandths(f64::from(*advance))]);
        }
        widths.finish();
        letters.finish();
        let (ascent, descent, capitals, [x_min, y_min, x_max, y_max]) = font.about();
        let of = |units: i16| thousandths(f64::from(units));
        pdf.font_descriptor(self.descriptor)
            .name(base)
            .flags(FontFlags::NON_SYMBOLIC)
            .bbox(PdfRect::new(of(x_min), of(y_min), of(x_max), of(y_max)))
            .italic_angle(0.0)
            .ascent(of(ascent))
            .descent(of(descent))
            .cap_height(of(capitals))
            // Of no weight for fonts that are embedded (ISO 32000-1, table 122, from memory).
            .stem_v(80.0)
            .font_file2(self.file);
        let bytes = packed(font.bytes)?;
        pdf.stream(self.file, &bytes)
            .filter(Filter::FlateDecode)
            .pair(Name(b"Length1"), count(font.bytes.len()));
        let mut map = UnicodeCmap::new(Name(b"Letters"), system);
        for (glyph, (letter, _)) in used {
            map.pair(*glyph, *letter);
        }
        let map = packed(&map.finish())?;
        pdf.stream(self.unicode, &map).filter(Filter::FlateDecode);
        Ok(())
    }
}

/// A page's drawing as the operators of its content.
fn drawn(page: &Page<'_>, used: &mut Used) -> Vec<u8> {
    let mut content = Content::new();
    let scale = POINTS as f32;
    content.transform([scale, 0.0, 0.0, -scale, 0.0, points(page.size.1)]);
    content.set_line_join(LineJoinStyle::RoundJoin).set_line_cap(LineCapStyle::ButtCap);
    let mut pen = Pen::default();
    for item in &page.drawing.items {
        match item {
            Item::Begin(_) | Item::End => {}
            Item::Path { steps, stroke, fill, .. } => {
                pen.path(&mut content, steps, stroke.as_ref(), *fill);
            }
            Item::Text { at, hand, text } => {
                if hand.plate {
                    let plate = super::corners(&super::plate(*hand, *at, text));
                    pen.path(&mut content, &plate, None, Some(page.drawing.ground));
                }
                pen.letters(&mut content, *at, *hand, text, used.of(hand.weight));
            }
        }
    }
    content.finish().to_vec()
}

/// What is set, so that nothing is said twice.
#[derive(Default)]
struct Pen {
    stroke: Option<Stroke>,
    fill: Option<Ink>,
}

/// Red, green and blue on paper.
fn colour(ink: Ink) -> [f32; 3] {
    let (r, g, b) = match ink {
        Ink::Black => (0x11, 0x11, 0x11),
        Ink::Paper => (0xff, 0xff, 0xff),
        Ink::Back => (0xf4, 0xea, 0xd8),
        Ink::Colour(r, g, b) => (r, g, b),
    };
    [r, g, b].map(|part: u8| narrow(f64::from(part) / 255.0))
}

impl Pen {
    fn path(
        &mut self,
        content: &mut Content,
        steps: &[Step],
        stroke: Option<&Stroke>,
        fill: Option<Ink>,
    ) {
        if let Some(stroke) = stroke.filter(|stroke| self.stroke != Some(**stroke)) {
            let [r, g, b] = colour(stroke.ink);
            content.set_stroke_rgb(r, g, b);
            content.set_line_width(narrow(stroke.width.millimetres()));
            content.set_dash_pattern(stroke.dash.iter().copied().map(narrow), 0.0);
            self.stroke = Some(*stroke);
        }
        if let Some(fill) = fill {
            self.fill(content, fill);
        }
        for step in steps {
            let at = |p: &Point| (narrow(p.x), narrow(p.y));
            match step {
                Step::Start(p) => content.move_to(at(p).0, at(p).1),
                Step::To(p) => content.line_to(at(p).0, at(p).1),
                Step::Bend(a, b, c) => {
                    let ((ax, ay), (bx, by), (cx, cy)) = (at(a), at(b), at(c));
                    content.cubic_to(ax, ay, bx, by, cx, cy)
                }
                Step::Close => content.close_path(),
            };
        }
        match (stroke, fill) {
            (Some(_), Some(_)) => content.fill_nonzero_and_stroke(),
            (Some(_), None) => content.stroke(),
            (None, Some(_)) => content.fill_nonzero(),
            (None, None) => content.end_path(),
        };
    }

    fn fill(&mut self, content: &mut Content, ink: Ink) {
        if self.fill != Some(ink) {
            let [r, g, b] = colour(ink);
            content.set_fill_rgb(r, g, b);
            self.fill = Some(ink);
        }
    }

    fn letters(
        &mut self,
        content: &mut Content,
        at: Point,
        hand: Hand,
        text: &str,
        used: &mut BTreeMap<u16, (char, u16)>,
    ) {
        let font = font(hand.weight);
        let mut glyphs = Vec::with_capacity(text.len() * 2);
        let mut strange = false;
        for letter in text.chars() {
            let glyph = font.glyph(letter);
            strange |= glyph.id == 0;
            let shown = if glyph.id == 0 { '\u{fffd}' } else { letter };
            used.entry(glyph.id).or_insert((shown, glyph.advance));
            glyphs.extend(glyph.id.to_be_bytes());
        }
        self.fill(content, Ink::Black);
        let before = match hand.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => hand.width(text) / 2.0,
            Anchor::End => hand.width(text),
        };
        // Letters stand upright again: the page's matrix has turned them over.
        let matrix = if hand.up {
            [0.0, -1.0, -1.0, 0.0, narrow(at.x), narrow(at.y + before)]
        } else {
            [1.0, 0.0, 0.0, -1.0, narrow(at.x - before), narrow(at.y)]
        };
        if strange {
            // The font has no glyph for some letter: a box is drawn, and the letter can be found.
            let mut marked = content.begin_marked_content_with_properties(Name(b"Span"));
            marked.properties().actual_text(TextStr(text));
        }
        content.begin_text();
        content.set_font(name(hand.weight), narrow(hand.size.height()));
        content.set_text_matrix(matrix);
        content.show(Str(&glyphs));
        content.end_text();
        if strange {
            content.end_marked_content();
        }
    }
}
