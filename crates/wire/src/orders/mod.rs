//! Orders to boards: messages of our own on a port of their own, each signed by the wall's key.
//!
//! Layouts as in `receiver/core/orders.hpp`; both are tested by `receiver/test/orders.txt`. The tag is made by
//! whoever sends: HMAC-SHA-256 over all bytes before it. Nothing here knows a key.

mod assignment;

pub use assignment::{Assignment, AssignmentError, AssignmentLine};

/// The UDP port that boards listen on for orders.
pub const PORT: u16 = 15567;
/// Bytes of a tag.
pub const TAG: usize = 32;
/// Bytes of a wall's key.
pub const KEY: usize = 32;
/// Bytes of an answer, and of a question, which is no shorter.
pub const ANSWER: usize = 128;
/// Bytes of a result.
pub const RESULT: usize = 64;
/// The most bytes of an order's body.
pub const MOST_BODY: usize = assignment::SIZE;

const MAGIC: [u8; 4] = [0x9a, b'G', b'L', b'W'];
const VERSION: u8 = 1;
const HEAD: usize = 28;

/// A board's hardware address.
pub type Id = [u8; 6];
/// A number that is used once.
pub type Number = [u8; 16];

/// What a board is told to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Order {
    /// Be this panel.
    Assign(Box<Assignment>),
    /// Glow for so many seconds.
    Glow(u8),
    /// Forget the panel.
    Forget,
    /// Begin anew.
    Restart,
    /// Take a new program over TCP.
    Update {
        /// Its size in bytes.
        size: u32,
        /// Its SHA-256.
        digest: [u8; 32],
    },
}

/// What came of an order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is done.
    Done,
    /// The board has no such order.
    Unknown,
    /// The board cannot follow it.
    BadBody,
    /// More pixels or lines than the board has.
    TooLarge,
    /// Its flash did not hold it.
    NotKept,
    /// Not at present.
    NotNow,
    /// Another number.
    Other(u8),
}

/// What a board answers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// Its hardware address.
    pub id: Id,
    /// For the next order.
    pub number: Number,
    /// That of the question.
    pub asked: Number,
    /// Whether it is assigned.
    pub assigned: bool,
    /// Whether frames come in.
    pub live: bool,
    /// Why it began anew: 0 unknown, 1 power, 2 restart, 3 watchdog, 4 brown-out, 5 crash.
    pub reset: u8,
    /// Its short code, four figures of 1 to 6.
    pub code: [u8; 4],
    /// The first bytes of its program's SHA-256.
    pub program: [u8; 8],
    /// How many pixels it has memory for, of the wall's own channels.
    pub most_pixels: u32,
    /// The name of its panel.
    pub name: String,
}

/// A message and the tag that must be that of its bytes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Signed<'a, T> {
    /// What it says, if the tag is right.
    pub said: T,
    /// What the tag is made over.
    pub bytes: &'a [u8],
    /// The tag.
    pub tag: &'a [u8],
}

fn head(kind: u8, id: &Id, number: &Number) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(ANSWER);
    bytes.extend(MAGIC);
    bytes.extend([VERSION, kind]);
    bytes.extend(id);
    bytes.extend(number);
    bytes
}

/// Who is there? To any board.
#[must_use]
pub fn question(asked: &Number) -> Vec<u8> {
    let mut bytes = head(1, &[0xff; 6], asked);
    bytes.resize(ANSWER, 0);
    bytes
}

/// An order without its tag, which comes after it.
#[must_use]
pub fn order(id: &Id, number: &Number, order: &Order) -> Vec<u8> {
    let (what, body) = match order {
        Order::Assign(assignment) => (1, assignment.bytes().to_vec()),
        Order::Glow(seconds) => (2, vec![*seconds]),
        Order::Forget => (3, Vec::new()),
        Order::Restart => (4, Vec::new()),
        Order::Update { size, digest } => (5, [&size.to_be_bytes()[..], digest].concat()),
    };
    let mut bytes = head(3, id, number);
    // No body is longer than `MOST_BODY`.
    let size = u16::try_from(body.len()).unwrap_or(u16::MAX);
    bytes.extend([what, 0]);
    bytes.extend(size.to_be_bytes());
    bytes.extend(body);
    bytes
}

fn of_kind(bytes: &[u8], kind: u8, size: usize) -> Option<(Id, Number)> {
    let good = bytes.len() == size && bytes[..4] == MAGIC && bytes[4..6] == [VERSION, kind];
    if !good {
        return None;
    }
    Some((bytes[6..12].try_into().ok()?, bytes[12..HEAD].try_into().ok()?))
}

/// Reads an answer; `None` for anything else.
#[must_use]
pub fn answer(bytes: &[u8]) -> Option<Signed<'_, Answer>> {
    let (id, number) = of_kind(bytes, 2, ANSWER)?;
    let name = &bytes[64..96];
    let name = &name[..name.iter().position(|&byte| byte == 0)?];
    let said = Answer {
        id,
        number,
        asked: bytes[28..44].try_into().ok()?,
        assigned: bytes[44] > 0,
        live: bytes[44] == 2,
        reset: bytes[45],
        code: bytes[48..52].try_into().ok()?,
        program: bytes[52..60].try_into().ok()?,
        most_pixels: u32::from_be_bytes(bytes[60..64].try_into().ok()?),
        name: String::from_utf8_lossy(name).into_owned(),
    };
    Some(Signed { said, bytes: &bytes[..ANSWER - TAG], tag: &bytes[ANSWER - TAG..] })
}

/// Reads the result of an order: whose, of which number, and what came of it.
#[must_use]
pub fn result(bytes: &[u8]) -> Option<Signed<'_, (Id, Number, Outcome)>> {
    let (id, number) = of_kind(bytes, 4, RESULT)?;
    let outcome = match bytes[HEAD] {
        0 => Outcome::Done,
        1 => Outcome::Unknown,
        2 => Outcome::BadBody,
        3 => Outcome::TooLarge,
        4 => Outcome::NotKept,
        5 => Outcome::NotNow,
        other => Outcome::Other(other),
    };
    let said = (id, number, outcome);
    Some(Signed { said, bytes: &bytes[..RESULT - TAG], tag: &bytes[RESULT - TAG..] })
}

#[cfg(test)]
mod tests;
