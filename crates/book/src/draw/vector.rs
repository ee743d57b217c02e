//! A drawing as SVG. One unit is a millimetre of paper.
//!
//! Widths, heights and inks are classes, so that a page can show the same drawing by day and by night;
//! colours that mean something stand with the shape. Each text says how long it is, so that it keeps
//! to its room in whatever font the reader has.

use std::io::{self, Write};

use super::font::Weight;
use super::text::{Anchor, Hand, Size};
use super::{Drawing, Ink, Item, Step, Stroke, Width};
use crate::svg::{Point, escaped};

/// The classes, as a sheet on its own has them: ink on white. #111111 on white is 18.9:1 by WCAG 2.
pub const STYLE: &str = "\
text{font-family:'Noto Sans','Segoe UI',Arial,'Liberation Sans','DejaVu Sans',sans-serif;font-size:2.5px;fill:#111}\
.b{font-weight:bold}.m{font-size:3.5px}.l{font-size:5px}.a{text-anchor:middle}.e{text-anchor:end}\
svg{fill:none;stroke-linejoin:round}\
.s1{stroke-width:.18}.s2{stroke-width:.35}.s3{stroke-width:.7}\
.k{stroke:#111}.w{stroke:#fff}.fk{fill:#111}.fw{fill:#fff}.fb{fill:#f4ead8}";

/// What a drawing says of itself.
pub struct About<'a> {
    /// Width and height, mm.
    pub size: (f64, f64),
    /// What it is.
    pub title: &'a str,
    /// What is to be seen, for somebody who cannot see it.
    pub description: &'a str,
    /// For programs that read it: names and values.
    pub data: &'a [(&'static str, String)],
}

/// Writes a drawing as a document of its own.
///
/// # Errors
/// Those of the writer.
pub fn document(drawing: &Drawing, about: &About<'_>, out: &mut dyn Write) -> io::Result<()> {
    out.write_all(b"<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n")?;
    open(about, "", out)?;
    writeln!(out, "<style>{STYLE}</style>")?;
    let (width, height) = about.size;
    writeln!(out, "<path class=\"fw\" d=\"M0 0H{}V{}H0z\"/>", number(width), number(height))?;
    items(drawing, out)?;
    out.write_all(b"</svg>\n")
}

/// Writes a drawing as a part of a page that has the classes. `id` is unlike any other of the page.
///
/// # Errors
/// Those of the writer.
pub fn part(drawing: &Drawing, about: &About<'_>, id: &str, out: &mut dyn Write) -> io::Result<()> {
    open(about, id, out)?;
    items(drawing, out)?;
    out.write_all(b"</svg>\n")
}

fn open(about: &About<'_>, id: &str, out: &mut dyn Write) -> io::Result<()> {
    let (width, height) = (number(about.size.0), number(about.size.1));
    write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\" aria-labelledby=\"{id}t {id}d\""
    )?;
    data(about.data, out)?;
    writeln!(
        out,
        ">\n<title id=\"{id}t\">{}</title><desc id=\"{id}d\">{}</desc>",
        escaped(about.title),
        escaped(about.description)
    )
}

fn data(data: &[(&'static str, String)], out: &mut dyn Write) -> io::Result<()> {
    for (name, value) in data {
        write!(out, " data-{name}=\"{}\"", escaped(value))?;
    }
    Ok(())
}

fn items(drawing: &Drawing, out: &mut dyn Write) -> io::Result<()> {
    for item in &drawing.items {
        match item {
            Item::Begin(layer) => writeln!(out, "<g aria-label=\"{}\">", escaped(layer))?,
            Item::End => out.write_all(b"</g>\n")?,
            Item::Path { steps, stroke, fill, about } => {
                path(steps, stroke.as_ref(), *fill, about, out)?;
            }
            Item::Text { at, hand, text } => letters(*at, *hand, text, drawing.ground, out)?,
        }
    }
    Ok(())
}

fn path(
    steps: &[Step],
    stroke: Option<&Stroke>,
    fill: Option<Ink>,
    about: &[(&'static str, String)],
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut classes = Vec::new();
    let mut attributes = String::new();
    if let Some(stroke) = stroke {
        match stroke.width {
            Width::Thin => classes.push("s1"),
            Width::Medium => classes.push("s2"),
            Width::Thick => classes.push("s3"),
            Width::Conductor(width) => {
                attributes.push_str(&format!(" stroke-width=\"{}\"", number(width)));
            }
        }
        match stroke.ink {
            Ink::Black => classes.push("k"),
            Ink::Paper | Ink::Back => classes.push("w"),
            Ink::Colour(r, g, b) => {
                attributes.push_str(&format!(" stroke=\"#{r:02x}{g:02x}{b:02x}\""));
            }
        }
        if !stroke.dash.is_empty() {
            let dash: Vec<String> = stroke.dash.iter().copied().map(number).collect();
            attributes.push_str(&format!(" stroke-dasharray=\"{}\"", dash.join(" ")));
        }
    }
    match fill {
        Some(Ink::Black) => classes.push("fk"),
        Some(Ink::Paper) => classes.push("fw"),
        Some(Ink::Back) => classes.push("fb"),
        // No style: a page may forbid those that stand with a shape.
        Some(Ink::Colour(r, g, b)) => {
            attributes.push_str(&format!(" fill=\"#{r:02x}{g:02x}{b:02x}\""));
        }
        None => {}
    }
    out.write_all(b"<path")?;
    if !classes.is_empty() {
        write!(out, " class=\"{}\"", classes.join(" "))?;
    }
    out.write_all(attributes.as_bytes())?;
    data(about, out)?;
    out.write_all(b" d=\"")?;
    for step in steps {
        match step {
            Step::Start(p) => write!(out, "M{} {}", number(p.x), number(p.y))?,
            Step::To(p) => write!(out, "L{} {}", number(p.x), number(p.y))?,
            Step::Bend(a, b, c) => write!(
                out,
                "C{} {} {} {} {} {}",
                number(a.x),
                number(a.y),
                number(b.x),
                number(b.y),
                number(c.x),
                number(c.y)
            )?,
            Step::Close => out.write_all(b"z")?,
        }
    }
    out.write_all(b"\"/>\n")
}

fn letters(at: Point, hand: Hand, text: &str, ground: Ink, out: &mut dyn Write) -> io::Result<()> {
    if hand.plate {
        let plate = super::plate(hand, at, text);
        path(&super::corners(&plate), None, Some(ground), &[], out)?;
    }
    let mut classes = Vec::new();
    classes.extend((hand.weight == Weight::Bold).then_some("b"));
    match hand.size {
        Size::Small => {}
        Size::Medium => classes.push("m"),
        Size::Large => classes.push("l"),
    }
    match hand.anchor {
        Anchor::Start => {}
        Anchor::Middle => classes.push("a"),
        Anchor::End => classes.push("e"),
    }
    out.write_all(b"<text")?;
    if !classes.is_empty() {
        write!(out, " class=\"{}\"", classes.join(" "))?;
    }
    let (x, y) = (number(at.x), number(at.y));
    if hand.up {
        write!(out, " transform=\"translate({x} {y})rotate(-90)\"")?;
    } else {
        write!(out, " x=\"{x}\" y=\"{y}\"")?;
    }
    writeln!(
        out,
        " textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\">{}</text>",
        number(hand.width(text)),
        escaped(text)
    )
}

/// A number with as many of four decimals as it needs, and never minus nothing.
pub fn number(value: f64) -> String {
    let rounded = (value * 10_000.0).round() / 10_000.0 + 0.0;
    format!("{rounded}")
}
