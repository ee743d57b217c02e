//! Small things that every wall needs and that have no figures of their own, and kinds of parts that no other key
//! stands for: named here so that a
//! price can be given to each.

/// A small thing as it is bought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SmallPart {
    /// Its key for prices.
    pub key: &'static str,
    /// What a price is for.
    pub unit: &'static str,
    /// What it is for, in one line with no full stop.
    pub what: &'static str,
}

const fn part(key: &'static str, unit: &'static str, what: &'static str) -> SmallPart {
    SmallPart { key, unit, what }
}

/// Every small thing, in the order to list them.
pub const ALL: &[SmallPart] = &[
    part("strip", "roll", "strip with figures of its own, of no key here"),
    part("supply", "piece", "a supply with figures of its own"),
    part("receiver", "piece", "a network board with figures of its own"),
    part("wire", "spool", "wire of a resistance of its own, in place of a gauge"),
    part("filament", "spool", "filament of no key here"),
    part("board", "sheet", "a board of no key here"),
    part("cloth", "metre", "the diffuser, by the metre from a roll"),
    part("fuse", "piece", "at the supply, in the plus of each feed and each receiver"),
    part("fuse-holder", "piece", "one for each fuse"),
    part("lug", "piece", "crimped to a wire's end at a screw terminal"),
    part("sleeve", "piece", "heat-shrink over a soldered end"),
    part(
        "data-connector",
        "piece",
        "plug and socket in a data lead, so that a board can be changed",
    ),
    part("level-shifter", "channel", "one for each data wire"),
    part("series-resistor", "piece", "330 to 470 ohm, one for each data wire"),
    part("mains-cord", "piece", "with plug, line, neutral and earth, to one supply"),
    part("mains-inlet", "piece", "with a fuse, covered, ahead of one supply"),
    part("fixing", "piece", "holds a panel on the wall"),
    part("safety-cord", "piece", "holds a panel when its fixings let go"),
    part("tape", "roll", "holds the cloth behind the board"),
];

/// Tape on one roll, m: as sold, from memory.
pub const TAPE_ROLL: super::Figure<glowloom_units::Metres> =
    super::figure(glowloom_units::Metres(25.0), "as sold, from memory");

/// The small thing of that key.
#[must_use]
pub fn find(key: &str) -> Option<&'static SmallPart> {
    ALL.iter().find(|part| part.key == key)
}
