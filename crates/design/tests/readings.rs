//! Readings of a meter in a wall file: what is said of those that are wrong.

mod marks;

use marks::{base, check, found};

/// Readings of a meter: of a panel and a place that there is, or of the bench.
#[test]
fn readings_of_a_meter() {
    let reading = |lines: &str| check(&(base() + "[[measured]]\n" + lines));
    for right in [
        "panel = \"a\"\nstrip = 10\nedge = \"far\"\nvolts = 4.21\n",
        "panel = \"a\"\nstrip = 1\npixel = 9\nvolts = \"4210 mV\"\nvolts_error = 0.02\n",
        "panel = \"a\"\namps = \"10.2 A\"\nshowing = \"red\"\nbrightness = 0.5\n",
        "panel = \"a\"\nstrip = 5\nedge = \"near\"\namps = 3\nvolts = 4.9\nvolts_at_supply = 5\n",
        "bench = true\npixels = 40\ndark_pixels = 110\nvolts_at_start = 5\nvolts_at_end = 4\namps = 2\n",
    ] {
        reading(right);
    }
    reading(
        "panel = \"b\"
        ^^^ unknown-value
strip = 1
edge = \"far\"
volts = 4
",
    );
    reading(
        "panel = \"a\"
strip = 11
        ^^ no-such-strip
edge = \"far\"
volts = 4
",
    );
    reading(
        "panel = \"a\"
strip = 1
pixel = 10
        ^^ out-of-range
volts = 4
",
    );
    reading(
        "panel = \"a\"
strip = 1
pixel = 1
        ^ mixed-reading
edge = \"near\"
volts = 4
",
    );
    reading(
        "panel = \"a\"
strip = 1
pixel = 1
        ^ mixed-reading
amps = 4
",
    );
    // One feed, on strip 5 at the near edge.
    reading(
        "panel = \"a\"
strip = 5
edge = \"far\"
amps = 4
       ^ no-such-feed
",
    );
    reading(
        "panel = \"a\"
strip = \"8\"
        ^^^ wrong-type
edge = \"left\"
       ^^^^^^ unknown-value
volts = \"4 A\"
        ^^^^^ wrong-unit
showing = \"pink\"
          ^^^^^^ unknown-value
brightness = 60
             ^^ out-of-range
volts_error = 0
              ^ out-of-range
volt = 4
^^^^ unknown-key
",
    );
    reading(
        "bench = true
panel = \"a\"
        ^^^ mixed-reading
volts = 4
        ^ mixed-reading
",
    );
    reading(
        "panel = \"a\"
pixels = 4
         ^ mixed-reading
amps = 3
",
    );
    // What is missing, under the head of the entry.
    for (lines, count) in [
        ("", 2),
        ("panel = \"a\"\n", 1),
        ("panel = \"a\"\nvolts = 4\n", 1),
        ("panel = \"a\"\nstrip = 3\nvolts = 4\n", 1),
        ("panel = \"a\"\nedge = \"far\"\namps = 4\n", 1),
        ("bench = true\n", 3),
        ("bench = true\npixels = 4\nvolts_at_start = 5\n", 1),
    ] {
        let (marks, wrong) = found(&(base() + "[[measured]]\n" + lines));
        let codes: Vec<_> = marks.iter().map(|mark| mark.code.as_str()).collect();
        assert_eq!(codes, vec!["missing-key"; count], "{lines}{wrong:#?}");
        assert!(marks.iter().all(|mark| mark.line == 13), "{marks:?}");
    }
    let (marks, _) = found(&(base() + &"[[measured]]\nbench = 1\n".repeat(501)));
    assert_eq!(marks.iter().map(|m| m.code.as_str()).collect::<Vec<_>>(), ["too-many-readings"]);
    // Feeds that were never laid out are not missed.
    let (marks, _) = found(
        &(base().replace("at = [0, 0]", "at = [11, 0]")
            + "[[measured]]\npanel = \"a\"\nstrip = 5\nedge = \"near\"\namps = 4\n"),
    );
    assert_eq!(marks.iter().map(|m| m.code.as_str()).collect::<Vec<_>>(), ["outside-picture"]);
}
