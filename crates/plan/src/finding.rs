//! What the plan has to say: hazards, faults and advice, each with a code and a remedy.

use glowloom_design::Place;
use serde::{Serialize, Serializer};

/// How serious a finding is; serious first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// It can hurt or burn.
    Hazard,
    /// It will not work.
    Fault,
    /// It works, but could be better.
    Advice,
}

impl Kind {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Hazard => "hazard",
            Self::Fault => "fault",
            Self::Advice => "advice",
        }
    }
}

/// Declares every code with its kind and its meaning, so that none can be used unlisted.
macro_rules! codes {
    ($($name:ident = $key:literal, $kind:ident, $meaning:literal;)*) => {
        /// What a finding is about.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Code {
            $(#[doc = $meaning] $name,)*
        }

        /// Every code, in alphabetical order of its key.
        pub const CODES: &[Code] = &[$(Code::$name),*];

        impl Code {
            /// Short lower-case words joined by hyphens; never changes once released.
            #[must_use]
            pub fn key(self) -> &'static str {
                match self { $(Self::$name => $key),* }
            }

            /// How serious it is.
            #[must_use]
            pub fn kind(self) -> Kind {
                match self { $(Self::$name => Kind::$kind),* }
            }

            /// What it means, in one line with no full stop.
            #[must_use]
            pub fn meaning(self) -> &'static str {
                match self { $(Self::$name => $meaning),* }
            }
        }
    };
}

codes! {
    AdhesiveAbovePeople = "adhesive-above-people", Hazard,
        "panels hang above people by glue alone, with no hook or cord besides";
    BaffleBedTooSmall = "baffle-bed-too-small", Fault,
        "a part of the baffle is larger than the printer's bed";
    BaffleChannelTooWide = "baffle-channel-too-wide", Fault,
        "the channel for the strip is wider than the cells of the baffle";
    BaffleJointRoomTooLong = "baffle-joint-room-too-long", Fault,
        "the room over strip ends reaches beyond the middle of a cell";
    BaffleLeadInTooHigh = "baffle-lead-in-too-high", Fault,
        "the lead-in of a channel is higher than the channel";
    BaffleLipTooWide = "baffle-lip-too-wide", Fault,
        "the lip of the baffle reaches over the strip";
    BaffleTooShallow = "baffle-too-shallow", Fault,
        "the channel or the joint room is as high as the baffle is deep";
    BaffleWallTooThin = "baffle-wall-too-thin", Fault,
        "a wall of the baffle is thinner than one line of the printer's nozzle";
    BoardLargerThanSheet = "board-larger-than-sheet", Fault,
        "a panel's board does not fit on a sheet as bought";
    ChipsMayStop = "chips-may-stop", Fault,
        "pixels get fewer volts than the strip's chips need";
    CircuitNearLimit = "circuit-near-limit", Advice,
        "the wall takes more than the wanted share of its mains circuit";
    CircuitOverloaded = "circuit-overloaded", Hazard,
        "the wall takes more than its mains circuit may give";
    ClothTooNarrow = "cloth-too-narrow", Fault,
        "a panel's cloth is wider than the roll";
    CutsNotProven = "cuts-not-proven", Advice,
        "the cut list may take more rolls than the least, as far as was searched";
    DataLeadTooLong = "data-lead-too-long", Fault,
        "the lead from the receiver to the first pixel is too long for a plain data signal";
    DataLevelTooLow = "data-level-too-low", Fault,
        "the receiver's data pin is below the level that the strip reads as high";
    DeadStrips = "dead-strips", Fault,
        "strips that no feed reaches stay dark";
    FeedBothEdges = "feed-both-edges", Advice,
        "feeding the same strips at their other edge as well lifts the lowest pixel";
    FeedWireOverloaded = "feed-wire-overloaded", Hazard,
        "a feed's wire carries more than it may";
    FeedsThatDo = "feeds-that-do", Advice,
        "feeds that keep every limit of the panel's copper";
    FuseAboveCopper = "fuse-above-copper", Advice,
        "a feed's fuse is above what the jumpers or the strip's own copper behind it may carry";
    FusesFollow = "fuses-follow", Advice,
        "when one fuse opens its neighbours carry more than theirs";
    HangingNearLimit = "hanging-near-limit", Advice,
        "fixings hold less than twice the load that is on them";
    HangingOverloaded = "hanging-overloaded", Hazard,
        "fixings do not hold the load that is on them";
    Inrush = "inrush", Advice,
        "many supplies on one circuit draw their first gulp together";
    JumperOverloaded = "jumper-overloaded", Hazard,
        "a jumper between two strips carries more than its wire may";
    LinkNotOnBoard = "link-not-on-board", Fault,
        "the receiver's board has no such link";
    LongDataLead = "long-data-lead", Advice,
        "the lead from the receiver to the first pixel is long";
    LongPrint = "long-print", Advice,
        "a print takes longer than the hours that the printer runs a day";
    MoreDataLinesThanPins = "more-data-lines-than-pins", Fault,
        "a panel has more data lines than its receiver has pins to drive them";
    NoFuseFits = "no-fuse-fits", Fault,
        "no fuse both carries a feed's current with its margin and protects the wire";
    PanelsOverlapAsBuilt = "panels-overlap-as-built", Fault,
        "two panels take up the same place on the wall as they are built";
    PowerNotSolved = "power-not-solved", Fault,
        "the currents of a panel could not be worked out";
    RailOverloaded = "rail-overloaded", Hazard,
        "the strip's own copper carries more than it may";
    RateNotReached = "rate-not-reached", Advice,
        "the wall cannot show as many frames a second as are wanted";
    SheetSizeUnsaid = "sheet-size-unsaid", Advice,
        "the file does not say how large a sheet of board is";
    SplicesSaveRolls = "splices-save-rolls", Advice,
        "strips joined from two pieces would save rolls";
    StripLongerThanRoll = "strip-longer-than-roll", Fault,
        "strips that no roll is long enough for";
    StripsSpliced = "strips-spliced", Advice,
        "strips that are joined from two or more pieces";
    SupplyNearLimit = "supply-near-limit", Advice,
        "a supply gives more than the wanted share of its rating";
    SupplyNotPowerLimited = "supply-not-power-limited", Advice,
        "the supply's output may be touched and is strong enough to start a fire";
    SupplyOffBoard = "supply-off-board", Fault,
        "the place of the supply is not on the board that carries it";
    SupplyOnCard = "supply-on-card", Hazard,
        "supplies hang on a board of card";
    SupplyOverloaded = "supply-overloaded", Fault,
        "a supply has to give more than its rating";
    SupplyPlaceUnsaid = "supply-place-unsaid", Advice,
        "the board is of card, and the file does not say what carries the supplies";
    SupplyVoltsTooHigh = "supply-volts-too-high", Hazard,
        "the supply's voltage is above what the strip withstands";
    SupplyVoltsTooLow = "supply-volts-too-low", Fault,
        "the supply's voltage is too low for the strip";
    TooHotForPanel = "too-hot-for-panel", Hazard,
        "the panel gets too hot for what it is built of";
    TouchVolts = "touch-volts", Hazard,
        "the supply's voltage is above what may be touched";
    TrimUp = "trim-up", Advice,
        "supplies set to more volts keep every limit";
    UncoveredPixels = "uncovered-pixels", Advice,
        "pixels of the picture that no panel shows";
    UnevenCells = "uneven-cells", Advice,
        "cells are darker at their edges than the file wants them";
    VoltsBelowLeast = "volts-below-least", Fault,
        "pixels get fewer volts than are wanted";
    WarmJoints = "warm-joints", Advice,
        "a joint or terminal gets warm by the current through it";
    WarmPanel = "warm-panel", Advice,
        "the panel gets warm";
    WireLimitUnknown = "wire-limit-unknown", Fault,
        "nobody says what a wire may carry";
}

impl Serialize for Code {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.key())
    }
}

/// Something that the plan has to say.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// How serious it is: that of the code.
    pub kind: Kind,
    /// What it is about.
    pub code: Code,
    /// In a few words, with no full stop.
    pub title: String,
    /// What was found, in numbers with their units.
    pub detail: String,
    /// What to change in the wall file; never empty.
    pub remedy: String,
    /// Line of the wall file, from 1.
    pub line: usize,
    /// Character of that line, from 1.
    pub column: usize,
}

impl Finding {
    /// A finding of that code's kind.
    #[must_use]
    pub fn new(code: Code, place: Place, title: String, detail: String, remedy: String) -> Self {
        let Place { line, column } = place;
        Self { kind: code.kind(), code, title, detail, remedy, line, column }
    }
}

/// Brings findings into the order to read them: the serious first, then as the file goes.
pub fn sort(findings: &mut [Finding]) {
    findings.sort_by_key(|finding| (finding.kind, finding.line, finding.column, finding.code));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_words_joined_by_hyphens_and_listed_in_order() {
        let keys: Vec<_> = CODES.iter().map(|code| code.key()).collect();
        assert!(keys.windows(2).all(|pair| pair[0] < pair[1]), "{keys:?}");
        for code in CODES {
            let plain = |c: char| c.is_ascii_lowercase() || c == '-';
            assert!(code.key().chars().all(plain), "{}", code.key());
            assert!(!code.meaning().is_empty() && !code.meaning().ends_with('.'));
        }
    }

    #[test]
    fn the_serious_come_first() {
        let at = |line, code: Code| {
            let place = Place { line, column: 1 };
            Finding::new(code, place, String::new(), String::new(), String::new())
        };
        let mut findings = [
            at(1, Code::UncoveredPixels),
            at(9, Code::CircuitOverloaded),
            at(5, Code::DataLevelTooLow),
            at(3, Code::LinkNotOnBoard),
        ];
        sort(&mut findings);
        assert_eq!(findings.map(|f| f.line), [9, 3, 5, 1]);
    }
}
