//! First stage: what the text says. Every value keeps its place; a value is judged by itself
//! alone, never against another one.

mod keys;
mod reader;
mod sections;
mod values;

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::DeTable;

pub use sections::{
    Baffle, Board, Book, Cuts, Diffuser, Feed, Feeds, Hanging, Mains, Measured, Money, Panel,
    PanelOwn, PanelShape, Power, Prices, QuietHours, Receiver, ReceiverBoard, ReceiverFigures,
    Scene, Show, Stock, Strip, Supply, SupplyFigures, WallSection, Wire,
};

use crate::diagnostic::{Diagnostic, Place, code};
use reader::{Context, Section};

/// A value and the bytes of the file that it was read from.
#[derive(Clone, Debug, PartialEq)]
pub struct Written<T> {
    /// The value.
    pub value: T,
    /// Bytes of the file.
    pub span: Range<usize>,
}

/// A wall file as written.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)] // each field is the section of its name
pub struct Text {
    /// Sections that are there but were refused: they are wrong, not missing.
    pub refused: Vec<&'static str>,
    pub format: Option<Written<i64>>,
    pub wall: Option<WallSection>,
    pub strip: Option<Strip>,
    pub panel: Option<PanelShape>,
    pub panels: Vec<Panel>,
    pub power: Option<Power>,
    pub receiver: Option<Receiver>,
    pub baffle: Option<Baffle>,
    pub board: Option<Board>,
    pub stock: Option<Stock>,
    pub diffuser: Option<Diffuser>,
    pub hanging: Option<Hanging>,
    pub prices: Option<Prices>,
    pub book: Option<Book>,
    pub cuts: Option<Cuts>,
    pub show: Option<Show>,
    pub measured: Vec<Measured>,
}

/// What reading gave: the text, where each key stands, and what is wrong.
#[derive(Debug)]
pub struct Reading {
    /// What could be read.
    pub text: Text,
    /// Where each key stands, by its dotted path.
    pub places: BTreeMap<String, Place>,
    /// Whether it is TOML at all: if not, absent keys mean nothing.
    pub well_formed: bool,
    /// Every value that is wrong by itself.
    pub wrong: Vec<Diagnostic>,
}

/// Sections of the file, in the order that messages offer them.
pub const SECTIONS: &[&str] = &[
    "format", "wall", "strip", "panel", "panels", "power", "receiver", "baffle", "board", "stock",
    "diffuser", "hanging", "prices", "book", "cuts", "show", "measured",
];

/// Most panels of a wall.
pub const MOST_PANELS: usize = 1000;

/// Most entries of `[[measured]]`.
pub const MOST_MEASURED: usize = 500;

/// Reads a file's text.
#[must_use]
pub fn read(text: &str) -> Reading {
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut cx = Context::new(text);
    let well_formed = errors.is_empty();
    for error in errors {
        cx.syntax(&error);
    }
    let read = read_sections(&mut cx, &table);
    Reading { text: read, places: cx.places, well_formed, wrong: cx.wrong }
}

fn read_sections(cx: &mut Context<'_>, table: &Spanned<DeTable<'_>>) -> Text {
    let mut file = Section::file(cx, table);
    let mut text = Text {
        refused: Vec::new(),
        format: file.take("format", |v| v.integer()),
        wall: file.section("wall", WallSection::read),
        strip: file.section("strip", Strip::read),
        panel: file.section("panel", PanelShape::read),
        panels: file.sections(
            "panels",
            MOST_PANELS,
            code::TOO_MANY_PANELS,
            "split the wall into several files",
            Panel::read,
        ),
        power: file.section("power", Power::read),
        receiver: file.section("receiver", Receiver::read),
        baffle: file.section("baffle", Baffle::read),
        board: file.section("board", Board::read),
        stock: file.section("stock", Stock::read),
        diffuser: file.section("diffuser", Diffuser::read),
        hanging: file.section("hanging", Hanging::read),
        prices: file.section("prices", Prices::read),
        book: file.section("book", Book::read),
        cuts: file.section("cuts", Cuts::read),
        show: file.section("show", Show::read),
        measured: file.sections(
            "measured",
            MOST_MEASURED,
            code::TOO_MANY_READINGS,
            "keep those that say most: ends far from a feed, and currents",
            Measured::read,
        ),
    };
    // An empty list is there and right, and holds nothing.
    let told = file.told();
    let missing = [
        ("format", text.format.is_none()),
        ("wall", text.wall.is_none()),
        ("strip", text.strip.is_none()),
        ("panels", text.panels.is_empty()),
    ];
    let refused = missing.into_iter().filter(|(key, missing)| *missing && told && file.has(key));
    text.refused = refused.map(|(key, _)| key).collect();
    file.finish(SECTIONS);
    text
}
