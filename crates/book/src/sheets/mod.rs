//! The sheets of the build book, drawn once and carried as PDF, as SVG and as a page.
//!
//! [`frame`] is what each sheet has, [`fit`] its scale, [`kinds`] which panels share one; every other
//! module draws one sort of sheet. A figure on a sheet is the plan's.

mod board;
pub(crate) mod carriers;
mod corner_templates;
mod cutting;
mod direct;
mod elevation;
mod findings;
mod fit;
mod flow;
mod frame;
mod glance;
mod hanging;
mod joints;
mod kinds;
mod labels;
mod mains;
mod order;
mod page;
mod page_steps;
mod panel_back;
mod panel_front;
mod panels;
mod printing;
mod roll_line;
mod rolls;
mod shopping;
mod sources;
mod steps;
mod templates;
mod voltage;
mod ways;

#[cfg(test)]
mod tests;

use glowloom_design::Wall;
use glowloom_design::wall::Panel;
use glowloom_plan::meter;
use glowloom_plan::path::PanelPath;
use glowloom_plan::power::Networks;
use glowloom_plan::steps::Steps;
use glowloom_plan::{Plan, path};
use glowloom_units::Volts;

use crate::document::Book;
use crate::draw::table::Table;
use crate::draw::text::NAME;
use crate::draw::{Drawing, Ink};
use crate::manifest::fingerprint;
use crate::svg::{Point, Rect};
use frame::{Common, Frame};
use kinds::Kind;

/// The side that a sheet shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// As it is watched.
    Front,
    /// As it is wired: left and right exchanged.
    Back,
    /// A diagram or a list.
    None,
}

impl View {
    /// As the title block has it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Front => "FRONT",
            Self::Back => "BACK, MIRRORED",
            Self::None => "none",
        }
    }
}

/// One sheet.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Unlike every other's, fit for a file: `panel-a-front`.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// What it is part of, where several sheets belong together.
    pub group: Option<String>,
    /// Names of the panels that it is for; none: of the whole wall.
    pub panels: Vec<String>,
    /// The side that it shows.
    pub view: View,
    /// Its scale, if it has one.
    pub scale: Option<String>,
    /// Its paper.
    pub frame: Frame,
    /// From 1.
    pub number: usize,
    /// What is to be seen, for somebody who cannot see it.
    pub description: String,
    /// For programs that read it.
    pub data: Vec<(&'static str, String)>,
    /// Whether its colours are those of things, so that it stays light by night.
    pub daylight: bool,
    /// Everything on it.
    pub drawing: Drawing,
}

impl Sheet {
    /// An empty sheet.
    fn new(key: impl Into<String>, name: impl Into<String>, view: View, frame: Frame) -> Self {
        let mut drawing = Drawing::default();
        if view == View::Back {
            drawing.ground = Ink::Back;
            drawing.rectangle(None, Some(Ink::Back), &frame.body());
        }
        Self {
            key: key.into(),
            name: name.into(),
            group: None,
            panels: Vec::new(),
            view,
            scale: None,
            frame,
            number: 0,
            description: String::new(),
            data: Vec::new(),
            daylight: false,
            drawing,
        }
    }

    /// The panels in a few words.
    fn panel_words(&self) -> Option<String> {
        match &*self.panels {
            [] => None,
            [one] => Some(one.clone()),
            [one, two] => Some(format!("{one}, {two}")),
            many => Some(format!("{} panels: {}", many.len(), many.join(", "))),
        }
    }

    /// Its name in a list of sheets: with the panel, where it is of one alone.
    fn listed_as(&self) -> String {
        match &*self.panels {
            [panel] => format!("{}: {panel}", self.name),
            _ => self.name.clone(),
        }
    }

    /// `07-panel-a-back`
    pub fn file(&self) -> String {
        format!("{:02}-{}", self.number, self.key)
    }
}

/// What sheets are drawn from.
pub(crate) struct Context<'b> {
    /// The checked wall.
    wall: &'b Wall,
    /// Its figures.
    plan: &'b Plan,
    /// Panels that are alike.
    kinds: Vec<Kind<'b>>,
    /// Volts of every pixel of each kind, in the order of its path, at full white under the wall's
    /// ceiling; none where a panel has no answer.
    volts: Option<Vec<Vec<Volts>>>,
    /// What to do.
    steps: &'b Steps,
    /// Where a meter goes.
    meter: Option<&'b meter::Sheet>,
}

impl<'b> Context<'b> {
    fn new(book: &Book<'b>) -> Self {
        let Book { wall, plan, sheet, steps, .. } = *book;
        let kinds = kinds::kinds(wall);
        let networks = Networks::of(wall);
        let white = ([1.0; 4], wall.power.brightness_limit);
        let solved = networks
            .each_kind(wall, &[white], |solution| solution.all_volts().collect::<Vec<_>>())
            .ok();
        let volts = solved.map(|solved| {
            let of = |kind: &Kind| {
                let number = kind.panels.first().map_or(0, |panel| networks.kind(*panel));
                solved.get(number).cloned().unwrap_or_default()
            };
            kinds.iter().map(of).collect()
        });
        Self { wall, plan, kinds, volts, steps, meter: sheet }
    }

    /// Names of a kind's panels.
    fn names(&self, kind: &Kind<'_>) -> Vec<String> {
        kind.panels
            .iter()
            .filter_map(|i| self.wall.panels.get(*i))
            .map(|p| p.name.clone())
            .collect()
    }

    /// A length to cut, mark and bore by.
    fn shown(&self, length: glowloom_units::Metres) -> String {
        length.to_mark(self.wall.figures)
    }
}

/// All pixels of a panel in the order of the network's figures: line by line along the path.
fn pixels(panel: &Panel) -> impl Iterator<Item = path::Pixel> + '_ {
    PanelPath::of(panel).lines().flat_map(|line| line.path())
}

/// All sheets of a book, numbered, with their frames.
pub(crate) fn sheets(book: &Book<'_>) -> Vec<Sheet> {
    let context = Context::new(book);
    let mut sheets = Vec::new();
    sheets.extend(findings::draw(&context));
    sheets.push(elevation::draw(&context));
    sheets.extend(hanging::draw(&context));
    sheets.extend(panels::draw(&context));
    for kind in &context.kinds {
        sheets.push(panel_front::draw(&context, kind));
        sheets.push(panel_back::draw(&context, kind));
        sheets.extend(joints::draw(&context, kind));
    }
    sheets.push(mains::draw(&context));
    for kind in &context.kinds {
        sheets.extend(direct::draw(&context, kind));
    }
    for (number, kind) in context.kinds.iter().enumerate() {
        sheets.extend(voltage::draw(&context, number, kind));
    }
    sheets.extend(steps::draw(&context));
    sheets.extend(rolls::draw(&context));
    sheets.extend(cutting::draw(&context));
    sheets.extend(printing::draw(&context));
    for kind in &context.kinds {
        sheets.extend(templates::draw(&context, kind));
        sheets.extend(corner_templates::of_fixings(&context, kind));
    }
    sheets.extend(corner_templates::of_cloth(&context));
    sheets.extend(labels::draw(&context));
    sheets.extend(shopping::draw(&context));
    sheets.extend(sources::draw(&context));
    // The first sheet names the others by their numbers.
    for (i, sheet) in sheets.iter_mut().enumerate() {
        sheet.number = i + 2;
    }
    let mut first = glance::draw(&context, &sheets);
    first.number = 1;
    sheets.insert(0, first);
    let fingerprint = fingerprint(book.file);
    let common = Common {
        wall: &book.wall.name,
        fingerprint: &fingerprint,
        figures: book.wall.figures,
        sheets: sheets.len(),
    };
    for sheet in &mut sheets {
        frame::close(sheet, &common);
    }
    sheets
}

/// What sheets that hold one table have in common.
struct Head {
    key: String,
    name: String,
    group: Option<String>,
    panels: Vec<String>,
    upright: bool,
    /// Into the band of each.
    note: Vec<String>,
    description: String,
}

/// Tables with their headings, below each other on as many sheets as they take; none where none has a
/// row. A table alone needs no heading.
fn listed(context: &Context<'_>, head: &Head, tables: &[(&str, Table)]) -> Vec<Sheet> {
    let frame = Frame::new(context.wall.paper, head.upright);
    let body = frame.body();
    let (left, width) = (body.left + 4.0, body.width - 8.0);
    let begin = || {
        let mut sheet = Sheet::new(head.key.clone(), head.name.clone(), View::None, frame);
        sheet.panels.clone_from(&head.panels);
        sheet.group.clone_from(&head.group);
        sheet.description.clone_from(&head.description);
        panel_front::notes(&mut sheet.drawing, &frame.band(), &head.note);
        sheet
    };
    let mut sheets: Vec<Sheet> = Vec::new();
    let mut y = body.bottom();
    for (heading, table) in tables {
        let mut next = 0;
        while next < table.rows.len() {
            // A heading with a row or two has to fit below what is there.
            if sheets.is_empty() || y > body.bottom() - 40.0 || next > 0 {
                sheets.push(begin());
                y = body.top + 4.0;
            } else {
                y += 6.0;
            }
            let Some(sheet) = sheets.last_mut() else { break };
            if !heading.is_empty() {
                y += 4.0;
                sheet.drawing.text(NAME, Point::new(left, y), heading);
                y += 3.0;
            }
            let room = Rect { left, top: y, width, height: body.bottom() - 4.0 - y };
            (next, y) = table.draw(&mut sheet.drawing, &room, next);
        }
    }
    several(sheets)
}

/// Sheets that go on from each other, told apart where there are several.
fn several(mut sheets: Vec<Sheet>) -> Vec<Sheet> {
    let all = sheets.len();
    if all > 1 {
        for (i, sheet) in sheets.iter_mut().enumerate() {
            sheet.key = format!("{}-{}", sheet.key, i + 1);
            sheet.name = format!("{}, {} of {all}", sheet.name, i + 1);
        }
    }
    sheets
}
