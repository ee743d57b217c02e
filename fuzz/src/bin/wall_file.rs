//! Any bytes as a wall file: nothing panics, and whatever is wrong can be shown.

#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    match glowloom_design::read(bytes) {
        Ok(wall) => assert!(!wall.panels.is_empty()),
        Err(wrong) => {
            assert!(!wrong.is_empty());
            let text = String::from_utf8_lossy(bytes);
            // A file may hold thousands of errors; a person is shown the first ones.
            for diagnostic in wrong.iter().take(5) {
                assert!(!diagnostic.remedy.is_empty());
                assert!(!diagnostic.render("wall.toml", &text, true).is_empty());
            }
        }
    }
});
