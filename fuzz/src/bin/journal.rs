//! Any bytes as a build journal: nothing is lost, and what is written is read as the same.

#![no_main]

use glowloom_plan::journal::read;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let journal = read(bytes);
    let text = journal.text();
    let again = read(&text);
    assert_eq!(again.facts, journal.facts);
    assert_eq!(again.odd.len(), journal.odd.len());
    assert!(again.odd.iter().zip(&journal.odd).all(|(a, b)| a.bytes == b.bytes));
    assert_eq!(again.text(), text);
    for odd in &journal.odd {
        assert!(odd.shown().chars().all(|c| !c.is_control()));
    }
});
