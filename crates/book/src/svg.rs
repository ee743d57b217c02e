//! Shapes as SVG, written as they are drawn. One unit is a millimetre of paper.
//!
//! What a line or a text looks like is its class; the classes are the look of all sheets and stand
//! in [`STYLE`]. Nothing is told by colour alone.

use std::fmt::Write as _;
use std::io::{self, Write};

/// The look of the sheets: three line widths, three text heights, dark ink on white. Contrast to white
/// by WCAG 2: #111111 18.9, #0056b3 7.0, #7a3e00 8.3, #5b2a86 9.9, #8a0050 9.6, #3a3a3a 11.4.
const STYLE: &str = "\
text{font-family:'DejaVu Sans','Noto Sans','Segoe UI',Arial,sans-serif;font-size:2.5px;fill:#111;\
font-variant-numeric:tabular-nums}
.bold{font-weight:bold}.medium-text{font-size:3.5px}.large{font-size:5px}
.middle{text-anchor:middle}.end{text-anchor:end}
.thin,.medium,.thick,.line{fill:none;stroke:#111;stroke-linejoin:round}
.thin{stroke-width:.18}.medium{stroke-width:.35}.thick{stroke-width:.7}
.ink{fill:#111;stroke:none}.paper{fill:#fff;stroke:none}
.plate{fill:#fff;stroke:#111;stroke-width:.18}
.hatch{fill:url(#hatch);stroke:#111;stroke-width:.18}
.line{stroke-width:.35}.dots{fill:none;stroke-width:1;stroke-linecap:round}
.l1{stroke:#111}.l2{stroke:#0056b3}.l3{stroke:#7a3e00}.l4{stroke:#5b2a86}.l5{stroke:#8a0050}.l6{stroke:#3a3a3a}
.line.l2{stroke-dasharray:3 1}.line.l3{stroke-dasharray:1 .7}.line.l4{stroke-dasharray:5 .8 .8 .8}
.line.l5{stroke-dasharray:3 .7 .7 .7 .7 .7}.line.l6{stroke-dasharray:7 1.2}
.fill.l1{fill:#111}.fill.l2{fill:#0056b3}.fill.l3{fill:#7a3e00}.fill.l4{fill:#5b2a86}.fill.l5{fill:#8a0050}\
.fill.l6{fill:#3a3a3a}.fill{stroke:none}.tag{fill:#fff;stroke-width:.25}
";

/// How many kinds of data line are told apart by dash and colour; the next one is as the first.
pub const LINE_KINDS: u32 = 6;

/// A place on the sheet, mm from its top left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl Point {
    /// That place.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// So far right and down of it.
    pub const fn by(self, x: f64, y: f64) -> Self {
        Self { x: self.x + x, y: self.y + y }
    }

    /// A part of the way to another place.
    pub fn toward(self, other: Self, part: f64) -> Self {
        Self { x: self.x + (other.x - self.x) * part, y: self.y + (other.y - self.y) * part }
    }
}

/// A rectangle on the sheet, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)] // said above
pub struct Rect {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
}

impl Rect {
    /// Its right edge.
    pub fn right(&self) -> f64 {
        self.left + self.width
    }

    /// Its lower edge.
    pub fn bottom(&self) -> f64 {
        self.top + self.height
    }

    /// Its middle.
    pub fn middle(&self) -> Point {
        Point::new(self.left + self.width / 2.0, self.top + self.height / 2.0)
    }
}

/// A line through places, as the data of a path.
#[derive(Clone, Debug, Default)]
pub struct Trace(String);

impl Trace {
    /// Lifts the pen and sets it down there.
    pub fn start(&mut self, at: Point) {
        let _ = write!(self.0, "M{} {}", number(at.x), number(at.y));
    }

    /// Draws to there.
    pub fn to(&mut self, at: Point) {
        let _ = write!(self.0, "L{} {}", number(at.x), number(at.y));
    }

    /// Draws back to where the pen was set down.
    pub fn close(&mut self) {
        self.0.push('z');
    }

    /// A dot: a stroke of no length, round by its class.
    pub fn dot(&mut self, at: Point) {
        let _ = write!(self.0, "M{} {}h0", number(at.x), number(at.y));
    }

    /// A closed line through places.
    pub fn closed(places: &[Point]) -> Self {
        let mut trace = Self::open(places);
        trace.close();
        trace
    }

    /// A line through places.
    pub fn open(places: &[Point]) -> Self {
        let mut trace = Self::default();
        for (i, place) in places.iter().enumerate() {
            if i == 0 { trace.start(*place) } else { trace.to(*place) }
        }
        trace
    }
}

/// A drawing that is being written.
pub struct Svg<'o> {
    out: &'o mut dyn Write,
}

impl<'o> Svg<'o> {
    /// Begins a drawing of that size. `title` and `description` are what a reader hears who cannot
    /// see it.
    pub fn begin(
        out: &'o mut dyn Write,
        size: (f64, f64),
        title: &str,
        description: &str,
    ) -> io::Result<Self> {
        let (width, height) = (number(size.0), number(size.1));
        writeln!(
            out,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
             viewBox=\"0 0 {width} {height}\" role=\"img\" aria-labelledby=\"title desc\">\n\
             <title id=\"title\">{}</title>\n<desc id=\"desc\">{}</desc>\n<style>\n{STYLE}</style>\n\
             <defs><pattern id=\"hatch\" width=\"2\" height=\"2\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><path d=\"M0 0V2\" stroke=\"#111\" \
             stroke-width=\".3\"/></pattern></defs>",
            escaped(title),
            escaped(description)
        )?;
        writeln!(out, "<rect class=\"paper\" width=\"{width}\" height=\"{height}\"/>")?;
        Ok(Self { out })
    }

    /// Ends the drawing.
    pub fn end(self) -> io::Result<()> {
        writeln!(self.out, "</svg>")
    }

    /// Begins a group with a name of its own, for readers and for programs.
    pub fn begin_group(&mut self, label: &str) -> io::Result<()> {
        writeln!(self.out, "<g aria-label=\"{}\">", escaped(label))
    }

    /// Ends the group begun last.
    pub fn end_group(&mut self) -> io::Result<()> {
        writeln!(self.out, "</g>")
    }

    /// A line or a shape.
    pub fn trace(&mut self, class: &str, trace: &Trace) -> io::Result<()> {
        if trace.0.is_empty() {
            return Ok(());
        }
        writeln!(self.out, "<path class=\"{class}\" d=\"{}\"/>", trace.0)
    }

    /// A straight line.
    pub fn line(&mut self, class: &str, from: Point, to: Point) -> io::Result<()> {
        self.trace(class, &Trace::open(&[from, to]))
    }

    /// A rectangle.
    pub fn rectangle(&mut self, class: &str, shape: &Rect) -> io::Result<()> {
        writeln!(
            self.out,
            "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
            number(shape.left),
            number(shape.top),
            number(shape.width),
            number(shape.height)
        )
    }

    /// A circle.
    pub fn circle(&mut self, class: &str, middle: Point, radius: f64) -> io::Result<()> {
        let (x, y) = (number(middle.x), number(middle.y));
        writeln!(
            self.out,
            "<circle class=\"{class}\" cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>",
            number(radius)
        )
    }

    /// Text whose baseline starts, is centred or ends there, as its class says.
    pub fn text(&mut self, class: &str, at: Point, text: &str) -> io::Result<()> {
        let (x, y) = (number(at.x), number(at.y));
        writeln!(self.out, "<text class=\"{class}\" x=\"{x}\" y=\"{y}\">{}</text>", escaped(text))
    }

    /// Text that is read from below: turned a quarter to the left about that place.
    pub fn text_upward(&mut self, class: &str, at: Point, text: &str) -> io::Result<()> {
        let (x, y) = (number(at.x), number(at.y));
        writeln!(
            self.out,
            "<text class=\"{class}\" transform=\"translate({x} {y})rotate(-90)\">{}</text>",
            escaped(text)
        )
    }
}

/// A number with as many of three decimals as it needs, and never minus nothing.
fn number(value: f64) -> String {
    let rounded = (value * 1000.0).round() / 1000.0 + 0.0;
    format!("{rounded}")
}

/// A text as XML has it. Characters that XML 1.0 cannot hold become the replacement character.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&apos;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_escaped() {
        assert_eq!(escaped("a<b & \"c\" 'd' é"), "a&lt;b &amp; &quot;c&quot; &apos;d&apos; é");
        assert_eq!(escaped("\u{7}x\ty"), "\u{fffd}x y");
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!([1.0, 0.5, 1.0 / 3.0, -0.0001].map(number), ["1", "0.5", "0.333", "0"]);
    }

    #[test]
    fn a_drawing_is_well_formed_however_it_is_called() {
        let mut bytes = Vec::new();
        let mut svg = Svg::begin(&mut bytes, (10.0, 20.0), "a <b>", "c & d").unwrap();
        svg.begin_group("\"e\"").unwrap();
        svg.text("bold", Point::new(1.0, 2.0), "f > g").unwrap();
        svg.end_group().unwrap();
        svg.end().unwrap();
        let text = String::from_utf8(bytes).unwrap();
        assert!(text.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"10mm\""));
        assert!(text.contains("<title id=\"title\">a &lt;b&gt;</title>"));
        assert!(text.contains("<g aria-label=\"&quot;e&quot;\">"));
        assert!(text.contains("<text class=\"bold\" x=\"1\" y=\"2\">f &gt; g</text>"));
        assert!(text.ends_with("</g>\n</svg>\n"));
    }
}
