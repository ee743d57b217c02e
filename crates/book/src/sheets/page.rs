//! All sheets as one page that needs no network: a list of them, then each drawing with its words.

use std::io::{self, BufWriter, Write};

use glowloom_design::Wall;
use glowloom_plan::steps::Steps;

use super::{Sheet, carriers, page_steps};
use crate::anchor::anchor;
use crate::draw::text::plain;
use crate::draw::vector;
use crate::svg::escaped;

/// The page's look: inks as custom properties, by day and by night. Sheets whose colours are those of
/// things stay as on paper. #6b3d00 on #fbf9f4 is 8.6:1, #ffc47d on #15171a 11.8:1 by WCAG 2.
const STYLE: &str = "\
:root{color-scheme:light dark;--ground:#fbf9f4;--paper:#fff;--ink:#111;--back:#f4ead8;--touch:#6b3d00;\
--rule:#b9b2a4}\
@media (prefers-color-scheme:dark){:root{--ground:#15171a;--paper:#1d2024;--ink:#ece7dc;--back:#3a3122;\
--touch:#ffc47d;--rule:#565a60}}\
.day{--paper:#fff;--ink:#111;--back:#f4ead8}\
*{box-sizing:border-box}\
body{margin:0;background:var(--ground);color:var(--ink);font:1rem/1.45 system-ui,sans-serif;\
font-variant-numeric:tabular-nums}\
header,main{max-width:84rem;margin:0 auto;padding:1rem}\
h1{font-size:1.6rem;margin:.2rem 0}h2{font-size:1.15rem;margin:0}\
header p{margin:.2rem 0}a{color:var(--touch)}\
nav ol,.panel ol{columns:18rem;padding:0;margin:.6rem 0;list-style:none}\
nav ol a,.panel ol a{display:block;padding:.3rem 0 .3rem 2.9em;text-indent:-2.9em;overflow-wrap:anywhere;break-inside:avoid;min-height:2rem;text-decoration:none}\
nav a:hover,nav a:focus,.panel a:hover,.panel a:focus{text-decoration:underline}\
ol b{display:inline-block;min-width:2.2em;text-align:right;margin-right:.7em}\
nav .panels a{display:inline-block;padding:.3rem .7rem .3rem 0;overflow-wrap:anywhere}\
section{margin:0 0 2.5rem;scroll-margin-top:.5rem}\
.head{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;align-items:baseline;padding:.4rem 0}\
.head p{margin:0}\
.text{max-width:44rem}.text h3{margin:1.6rem 0 .4rem;padding-top:.6rem;border-top:2px solid var(--ink)}\
.text h4{margin:1.2rem 0 .3rem;font-size:1.05rem}.text small{font-weight:normal;font-size:.88em}\
.text p{margin:.4rem 0}.text ul{margin:.4rem 0;padding-left:1.2rem}.text li{margin:.25rem 0}\
.mind{border-left:.35rem solid var(--ink);padding-left:.6rem}\
.tick{padding-left:1.7rem;text-indent:-1.7rem}.tick span{display:inline-block;width:1.7rem;text-indent:0}\
.tick small{display:block;text-indent:0}.tick br{display:none}\
.files{columns:18rem}.files a{display:inline-block;padding:.3rem 0;overflow-wrap:anywhere}\
.roll{overflow-x:auto;border:1px solid var(--rule);background:var(--paper)}\
.roll svg{display:block;width:100%;min-width:56rem;height:auto;background:var(--paper)}\
.roll.up svg{min-width:40rem;max-width:60rem;margin:0 auto}\
svg text{font-family:'Noto Sans','Segoe UI',Arial,'Liberation Sans','DejaVu Sans',sans-serif;font-size:2.5px;\
fill:var(--ink)}\
svg .b{font-weight:bold}svg .m{font-size:3.5px}svg .l{font-size:5px}\
svg .a{text-anchor:middle}svg .e{text-anchor:end}\
svg{fill:none;stroke-linejoin:round}\
.s1{stroke-width:.18}.s2{stroke-width:.35}.s3{stroke-width:.7}\
.k{stroke:var(--ink)}.w{stroke:var(--paper)}\
svg .fk{fill:var(--ink)}svg .fw{fill:var(--paper)}svg .fb{fill:var(--back)}\
@media print{:root{--ground:#fff;--paper:#fff;--ink:#111;--back:#f4ead8;--touch:#111}\
header,.panel,.head,.words,.text{display:none}main{padding:0;max-width:none}\
section{margin:0;break-after:page;break-inside:avoid}.roll{border:0;overflow:visible}\
.roll svg,.roll.up svg{min-width:0;max-width:none;width:auto;height:auto}\
section.lying{page:lying}section.standing{page:standing}}";

/// What the page is made of.
pub struct Page<'b> {
    /// The checked wall.
    pub wall: &'b Wall,
    /// What to do.
    pub steps: &'b Steps,
    /// Every sheet.
    pub sheets: &'b [Sheet],
    /// Paths of the book's other files.
    pub others: &'b [String],
}

/// Writes the page.
///
/// # Errors
/// Those of the writer.
pub fn write(page: &Page<'_>, out: &mut dyn Write) -> io::Result<()> {
    let Page { wall, steps, sheets, others } = *page;
    let mut out = BufWriter::with_capacity(1 << 16, out);
    let name = escaped(&plain(&wall.name));
    let paper = sheets.first().map_or("A4", |sheet| sheet.frame.name);
    writeln!(
        out,
        "<!doctype html>\n<html lang=\"en-GB\">\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n\
         <title>Build book of {name}</title>\n<style>{STYLE}\n\
         @page lying{{size:{paper} landscape;margin:0}}@page standing{{size:{paper} portrait;margin:0}}\
         </style>\n<body>\n<header>\n<h1 dir=\"auto\">Build book of {name}</h1>\n\
         <p>{} sheets. The same for a printer: <a href=\"book.pdf\">book.pdf</a>. \
         Print at 100 %, nothing fitted to the page.</p>\n<nav aria-label=\"Sheets\">\n<ol>",
        sheets.len()
    )?;
    for sheet in sheets {
        link(sheet, &sheet.listed_as(), &mut out)?;
    }
    out.write_all(b"</ol>\n<p class=\"panels\">Panels:")?;
    for (i, panel) in wall.panels.iter().enumerate() {
        let name = escaped(&plain(&panel.name));
        write!(out, " <a href=\"#{}\" dir=\"auto\">{name}</a>", anchor(wall, i))?;
    }
    out.write_all(
        b"</p>\n<p class=\"panels\"><a href=\"#steps\">Assembly steps as text, for a small screen</a> \
          <a href=\"#files\">Files to make parts from and to buy by</a></p>\n</nav>\n</header>\n<main>\n",
    )?;
    for sheet in sheets {
        let upright = sheet.frame.height > sheet.frame.width;
        let (way, up) = if upright { ("standing", " up") } else { ("lying", "") };
        let day = if sheet.daylight { " day" } else { "" };
        let mut facts = Vec::new();
        facts.extend(sheet.panel_words().map(|panels| escaped(&plain(&panels))));
        if sheet.view != super::View::None {
            facts.push(format!("<b>{}</b>", sheet.view.words()));
        }
        facts.extend(sheet.scale.clone());
        writeln!(
            out,
            "<section id=\"s{number}\" class=\"{way}\">\n<div class=\"head\"><h2>{number} {}</h2>\
             <p dir=\"auto\">{}</p><p><a href=\"sheets/{}.svg\">alone</a></p>\
             <p><a href=\"#\">all sheets</a></p></div>\n\
             <div class=\"roll{up}{day}\" tabindex=\"0\" role=\"region\" aria-label=\"sheet {number}\">",
            escaped(&sheet.name),
            facts.join(", "),
            sheet.file(),
            number = sheet.number,
        )?;
        let id = format!("s{}", sheet.number);
        carriers::about(wall, sheet, |about| vector::part(&sheet.drawing, about, &id, &mut out))?;
        writeln!(
            out,
            "</div>\n<p class=\"words\">{}</p>\n</section>",
            escaped(&sheet.description)
        )?;
    }
    panels(wall, sheets, &mut out)?;
    page_steps::write(steps, &mut out)?;
    files(others, &mut out)?;
    out.write_all(b"</main>\n</body>\n</html>\n")?;
    out.flush()
}

/// Each panel's part of the page, where the code on its label leads: what it is, and its sheets.
fn panels(wall: &Wall, sheets: &[Sheet], out: &mut dyn Write) -> io::Result<()> {
    for (i, panel) in wall.panels.iter().enumerate() {
        let (columns, rows) = panel.hung();
        writeln!(
            out,
            "<section class=\"panel\" id=\"{}\">\n<div class=\"head\"><h2 dir=\"auto\">Panel {}</h2>\
             <p>columns {} to {}, rows {} to {} of the picture</p><p><a href=\"#\">all sheets</a></p></div>\n<ol>",
            anchor(wall, i),
            escaped(&plain(&panel.name)),
            panel.at.0,
            panel.at.0 + columns - 1,
            panel.at.1,
            panel.at.1 + rows - 1,
        )?;
        for sheet in sheets.iter().filter(|sheet| sheet.panels.contains(&panel.name)) {
            link(sheet, &sheet.name, out)?;
        }
        out.write_all(b"</ol>\n</section>\n")?;
    }
    Ok(())
}

/// The files beside the page, by folder.
fn files(others: &[String], out: &mut dyn Write) -> io::Result<()> {
    out.write_all(
        b"<section class=\"text\" id=\"files\">\n<div class=\"head\"><h2>Files</h2>\
          <p><a href=\"#\">all sheets</a></p></div>\n<ul class=\"files\">\n",
    )?;
    for path in others {
        let path = escaped(path);
        writeln!(out, "<li><a href=\"{path}\">{path}</a>")?;
    }
    out.write_all(b"</ul>\n</section>\n")
}

/// A line of a list of sheets.
fn link(sheet: &Sheet, name: &str, out: &mut dyn Write) -> io::Result<()> {
    let name = escaped(&plain(name));
    writeln!(out, "<li><a href=\"#s{0}\"><b>{0}</b>{name}</a>", sheet.number)
}
