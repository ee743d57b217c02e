//! The messages of `receiver/test/orders.txt`, which the board's core reads, too.

use super::*;
use crate::patch::{Address, Channels, Common, Line, PanelPatch, Protocol};

const MESSAGES: &str = include_str!("../../../../receiver/test/orders.txt");

fn wanted(name: &str) -> Vec<u8> {
    let line = MESSAGES.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(" = "));
    let text = line.unwrap_or_else(|| panic!("{name} is in the file"));
    (0..text.len())
        .step_by(2)
        .map(|at| u8::from_str_radix(&text[at..at + 2], 16).unwrap())
        .collect()
}

fn assignment() -> Assignment {
    let common = Common {
        columns: 20,
        rows: 16,
        channels: Channels::Three,
        protocol: Protocol::E131,
        ceiling: 153,
        sync_universe: 13,
    };
    let line = |first_universe, byte_offset, from: u32| Line {
        first_universe,
        byte_offset,
        pixels: std::iter::once(None).chain((from..from + 100).map(Some)).collect(),
    };
    let panel = PanelPatch {
        name: "west".into(),
        address: Address::Virtual { port: 1 },
        lines: vec![line(1, 0, 0), line(2, 303, 100)],
    };
    let plain = Assignment::of(&common, &panel).unwrap();
    Assignment {
        order: vec![1, 0, 2],
        on_loss: 2,
        milliamps: 47_700,
        microamps: [20_000, 20_000, 20_000, 0, 1000],
        ..plain
    }
}

/// The tags in the file are made by another program; here the bytes before them are compared.
#[test]
fn messages_are_those_of_the_file() {
    assert_eq!(assignment().bytes().to_vec(), wanted("assignment"));
    let (id, number) = ([2, 0, 0, 0, 0, 7], [0x11; 16]);
    assert_eq!(question(&[0x22; 16]), wanted("question"));
    let cases = [
        ("assign", Order::Assign(Box::new(assignment()))),
        ("glow", Order::Glow(9)),
        ("forget", Order::Forget),
        ("restart", Order::Restart),
        ("update", Order::Update { size: 700_000, digest: [0x33; 32] }),
    ];
    for (name, said) in cases {
        let signed = wanted(name);
        assert_eq!(order(&id, &number, &said), signed[..signed.len() - TAG], "{name}");
    }
}

#[test]
fn answers_and_results_are_read() {
    let bytes = wanted("answer");
    let answer = super::answer(&bytes).unwrap();
    assert_eq!((answer.bytes.len(), answer.tag.len()), (96, 32));
    let said = answer.said;
    assert_eq!((said.id, said.number, said.asked), ([2, 0, 0, 0, 0, 7], [0x11; 16], [0x22; 16]));
    assert_eq!((said.assigned, said.live, said.reset, said.name.as_str()), (false, false, 1, ""));
    assert!(said.code.iter().all(|figure| (1..=6).contains(figure)));
    let bytes = wanted("result");
    let (id, number, outcome) = result(&bytes).unwrap().said;
    assert_eq!((id, number, outcome), ([2, 0, 0, 0, 0, 7], [0x11; 16], Outcome::Done));
    for size in 0..bytes.len() {
        assert!(result(&bytes[..size]).is_none() && super::answer(&bytes[..size]).is_none());
    }
}

#[test]
fn a_long_name_is_cut_between_characters() {
    let mut long = assignment();
    long.name = format!("{}éé", "n".repeat(30));
    assert_eq!(long.bytes()[28..60], [[b'n'; 30].as_slice(), &[0, 0]].concat());
}
