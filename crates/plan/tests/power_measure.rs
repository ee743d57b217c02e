//! Measuring points and their bands, and readings turned back into the strip.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

mod circuits;

use circuits::random::Dice;
use circuits::{network, panel, read, sixteen, solve, white};
use glowloom_design::wall::Edge;
use glowloom_plan::power::bench::{bench, bench_pixels};
use glowloom_plan::power::fit::{NoFit, Read, Reading, fit};
use glowloom_plan::power::measure::{Place, Softness, Why, measurements};
use glowloom_plan::power::{Network, Sinks, Solution};
use glowloom_units::{Amps, OhmsPerMetre, Volts};

fn soft(rail: [f64; 2], channel: [f64; 2]) -> Softness {
    Softness { rail: rail.map(OhmsPerMetre), channel: channel.map(Amps) }
}

/// The network with another strip.
fn other(network: &Network, rail: f64, channel: f64) -> Network {
    network.with_strip(OhmsPerMetre(rail), network.law().with_channel_amps(Amps(channel)))
}

#[test]
fn where_a_meter_goes() {
    let wall = read(&sixteen("", "", ""));
    let network = network(&wall);
    let soft = Softness::unmeasured(&wall.strip);
    let found = measurements(&network, &soft, &[1.0, 0.3]).unwrap();
    let place = |why: Why| found.points.iter().find(|p| p.why == why).map(|p| p.place);
    let near = |strip| Some(Place::Pad { strip, edge: Edge::Near });
    assert_eq!(place(Why::StrongestFeed), near(8));
    assert_eq!(place(Why::WeakestFeed), near(3));
    // Strip 11 runs up; its lowest pixel is the last but one.
    assert_eq!(place(Why::LowestPixel), Some(Place::Pixel { strip: 11, pixel: 34 }));
    assert_eq!(place(Why::LastEnd), near(16));
    let solutions = [white(&network, 1.0), white(&network, 0.3)];
    for point in &found.points {
        for (expected, solution) in point.volts.iter().zip(&solutions) {
            assert_eq!(Some(expected.shown), point.place.volts(solution));
            assert!(expected.least <= expected.shown && expected.shown <= expected.most);
        }
    }
    for (expected, solution) in found.amps.iter().zip(&solutions) {
        assert_eq!(expected.shown, solution.amps());
        assert!(expected.least < expected.shown && expected.shown < expected.most);
    }
}

/// Any strip within the stated ranges is within the band, at every place, to a millivolt.
#[test]
fn the_band_holds_what_may_be() {
    let dice = &mut Dice::new(77);
    for power in ["", "supplies_per_panel = 2\nfeeds = 5\n", "feeds = 8\nsupply_ohms = 0.01\n"] {
        let wall = read(&sixteen("", "", power));
        let network = network(&wall);
        let soft = soft([0.05, 0.2], [0.012, 0.022]);
        let found = measurements(&network, &soft, &[1.0, 0.25]).unwrap();
        for _ in 0..40 {
            let strip = other(&network, dice.between(0.05, 0.2), dice.between(0.012, 0.022));
            for (i, brightness) in [1.0, 0.25].into_iter().enumerate() {
                let solution = white(&strip, brightness);
                for point in &found.points {
                    let volts = point.place.volts(&solution).unwrap();
                    let band = point.volts[i];
                    let inside = volts.0 >= band.least.0 - 1e-3 && volts.0 <= band.most.0 + 1e-3;
                    assert!(inside, "{volts} at {:?}, not in {band:?}", point.place);
                }
                let amps = solution.amps();
                assert!(amps >= found.amps[i].least && amps <= found.amps[i].most);
            }
        }
        // And no wider than it has to be: its ends are those of some strip.
        let worst = other(&network, 0.2, 0.022);
        let worst = white(&worst, 1.0);
        let point = found.points.iter().find(|p| p.why == Why::LowestPixel).unwrap();
        assert!((point.volts[0].least - point.place.volts(&worst).unwrap()).abs().0 < 1e-12);
    }
}

/// Readings of a known strip through a meter that errs by what it says.
fn readings(
    truth: &Network,
    points: &[Place],
    dice: &mut Dice,
    volts: f64,
    amps: f64,
) -> Vec<Reading> {
    let mut all = Vec::new();
    for brightness in [0.6, 0.25] {
        let solution = solve(truth, &Sinks::white(truth.law(), brightness));
        let mut add = |read| all.push(Reading { levels: [1.0; 4], brightness, read });
        for place in points {
            let found = place.volts(&solution).unwrap() + Volts(volts * dice.noise());
            add(Read::Volts { place: *place, found, error: Volts(volts) });
        }
        let total = solution.amps();
        let error = total * amps;
        add(Read::Amps { found: total + error * dice.noise(), error });
        let tap = truth.taps()[0];
        let flow = solution.feeds().next().unwrap().plus;
        let error = flow * amps;
        let found = flow + error * dice.noise();
        add(Read::FeedAmps { strip: tap.strip, edge: tap.edge, found, error });
    }
    all
}

/// From noisy readings back to the strip they were made of: 95 of 100 lie in the band that is stated,
/// and the band is no wider than that needs.
#[test]
fn a_known_strip_is_found_again() {
    let (mut inside, mut count, mut squares) = (0, 0, 0.0);
    for seed in 0..150 {
        let dice = &mut Dice::new(seed + 500);
        let power = ["", "feeds = 6\n", "supplies_per_panel = 2\nfeeds = 4\n"][seed as usize % 3];
        let wall = read(&sixteen("", "", power));
        let network = network(&wall);
        let (rail, channel) = (dice.between(0.05, 0.2), dice.between(0.008, 0.022));
        let truth = other(&network, rail, channel);
        let soft = Softness::unmeasured(&wall.strip);
        let points = measurements(&network, &soft, &[0.6]).unwrap().points;
        let places: Vec<Place> = points.iter().map(|point| point.place).collect();
        let readings = readings(&truth, &places, dice, 0.010, 0.02);
        let found = fit(&network, &readings).unwrap_or_else(|no| panic!("{no}, seed {seed}"));
        for (found, wanted, band) in [
            (found.rail.0, rail, found.band.rail.map(|r| r.0)),
            (found.channel.0, channel, found.band.channel.map(|c| c.0)),
        ] {
            assert!((found / wanted - 1.0).abs() < 0.2, "{found}, not {wanted}, seed {seed}");
            inside += u32::from(band[0] <= wanted && wanted <= band[1]);
            count += 1;
            let deviation = (band[1] / band[0]).ln() / 4.0;
            squares += ((found / wanted).ln() / deviation).powi(2);
        }
        assert!(found.misfit < 2.5, "{}, seed {seed}", found.misfit);
    }
    let spread = (squares / f64::from(count)).sqrt();
    assert!(inside * 100 >= 93 * count, "{inside} of {count}");
    assert!((0.75..1.15).contains(&spread), "the band is {spread} times what it should be");
}

/// Without noise the very figures come back, from far away.
#[test]
fn without_noise() {
    let wall = read(&sixteen("", "", ""));
    let network = network(&wall);
    let truth = other(&network, 0.19, 0.0085);
    let places = [
        Place::Pad { strip: 8, edge: Edge::Near },
        Place::Pad { strip: 11, edge: Edge::Far },
        Place::Pixel { strip: 16, pixel: 35 },
    ];
    let dice = &mut Dice::new(1);
    let mut exact = readings(&truth, &places, dice, 1e-9, 1e-9);
    for reading in &mut exact {
        // As a meter would state it.
        match &mut reading.read {
            Read::Volts { error, .. } => *error = Volts(0.01),
            Read::Amps { error, .. } | Read::FeedAmps { error, .. } => *error = Amps(0.05),
        }
    }
    let found = fit(&network, &exact).unwrap();
    assert!((found.rail.0 / 0.19 - 1.0).abs() < 1e-6, "{found:?}");
    assert!((found.channel.0 / 0.0085 - 1.0).abs() < 1e-6, "{found:?}");
    assert!(found.misfit < 1e-3);
}

/// One roll on the bench: volts at its end and amps give both figures.
#[test]
fn one_roll_on_the_bench() {
    let wall = read(&sixteen("", "", ""));
    let soft = Softness::unmeasured(&wall.strip);
    let pixels = bench_pixels(&wall, &soft);
    assert!((20..=150).contains(&pixels), "{pixels}");
    let expected = bench(&wall, &soft, pixels, 0).unwrap();
    // r i n^2 / 2 along each rail.
    let n = f64::from(pixels);
    let drop = 0.10 / 30.0 * 0.061 * n * n;
    assert!((expected.volts_at_end.shown.0 - (5.0 - drop)).abs() < 1e-5, "{expected:?}");
    assert!((expected.amps.shown.0 - 0.061 * n).abs() < 1e-9);
    // No knee is reached by the worst strip of that name.
    assert!(expected.volts_at_end.least.0 >= 3.8, "{expected:?}");
    assert!(expected.volts_at_end.most.0 > expected.volts_at_end.shown.0 + 0.05);

    let on_bench = Network::bench(&wall, pixels, Volts(5.0));
    let truth = other(&on_bench, 0.07, 0.0125);
    let solution: Solution = white(&truth, 1.0);
    let end = Place::Pad { strip: 1, edge: Edge::Far };
    let reading = |read| Reading { levels: [1.0; 4], brightness: 1.0, read };
    let volts = end.volts(&solution).unwrap();
    let found = fit(
        &on_bench,
        &[
            reading(Read::Volts { place: end, found: volts, error: Volts(0.005) }),
            reading(Read::Amps { found: solution.amps(), error: Amps(0.02) }),
        ],
    )
    .unwrap();
    assert!((found.rail.0 / 0.07 - 1.0).abs() < 1e-6, "{found:?}");
    assert!((found.channel.0 / 0.0125 - 1.0).abs() < 1e-6, "{found:?}");
    assert!(found.band.rail[0].0 < 0.07 && found.band.rail[1].0 > 0.07);
}

/// What cannot be told is said, with what to read as well.
#[test]
fn readings_that_do_not_tell() {
    let wall = read(&sixteen("", "", ""));
    let network = network(&wall);
    let volts = |place, found| Reading {
        levels: [1.0; 4],
        brightness: 0.2,
        read: Read::Volts { place, found: Volts(found), error: Volts(0.01) },
    };
    let amps = |brightness, found| Reading {
        levels: [1.0; 4],
        brightness,
        read: Read::Amps { found: Amps(found), error: Amps(0.05) },
    };
    let end = Place::Pad { strip: 11, edge: Edge::Far };
    assert_eq!(fit(&network, &[amps(1.0, 30.0)]), Err(NoFit::TooFew));
    // Far above the knees a current tells nothing of the rail.
    assert_eq!(fit(&network, &[amps(0.2, 7.488), amps(0.1, 4.032)]), Err(NoFit::RailUnknown));
    // In the dark no colour draws.
    assert_eq!(
        fit(&network, &[Reading { brightness: 0.0, ..volts(end, 4.97) }, amps(0.0, 0.576)]),
        Err(NoFit::ChannelUnknown)
    );
    let nowhere = Place::Pixel { strip: 17, pixel: 0 };
    assert_eq!(fit(&network, &[amps(0.2, 7.4), volts(nowhere, 4.0)]), Err(NoFit::BadReading(1)));
    let beyond = Place::Pixel { strip: 1, pixel: 36 };
    assert_eq!(fit(&network, &[volts(beyond, 4.0), amps(0.2, 7.4)]), Err(NoFit::BadReading(0)));
    assert_eq!(fit(&network, &[volts(end, f64::NAN), amps(0.2, 7.4)]), Err(NoFit::BadReading(0)));
    for no in [NoFit::TooFew, NoFit::RailUnknown, NoFit::ChannelUnknown, NoFit::NoStrip] {
        assert!(no.to_string().contains(": "), "{no}: says what to do");
    }
    // A strip that is none: no voltage drop of so many volts comes from so little current.
    let odd = fit(&network, &[volts(end, 1.0), amps(0.2, 0.2)]);
    assert!(odd.is_err() || odd.as_ref().is_ok_and(|fit| fit.rail.0 > 1.0), "{odd:?}");
    // A bad joint shows as a misfit.
    let truth = other(&network, 0.1, 0.02);
    let mut taps = truth.taps().to_vec();
    taps[1].ohms.0 += 0.05;
    let bad = truth.with_feeds(taps);
    let places = [
        Place::Pad { strip: 8, edge: Edge::Near },
        Place::Pad { strip: 3, edge: Edge::Near },
        Place::Pad { strip: 11, edge: Edge::Far },
        Place::Pad { strip: 1, edge: Edge::Near },
    ];
    let found = fit(&network, &readings(&bad, &places, &mut Dice::new(3), 0.005, 0.01)).unwrap();
    assert!(found.misfit > 4.0, "{}", found.misfit);
}

/// A panel without feeds has nothing to measure; one with many supplies keeps to a short list.
#[test]
fn odd_panels() {
    let unfed = read(&panel(3, 5, "", "", "feeds = 0\n"));
    let soft_strip = Softness::unmeasured(&unfed.strip);
    let found = measurements(&network(&unfed), &soft_strip, &[1.0]).unwrap();
    assert_eq!((found.points.len(), found.amps[0].most), (0, Amps(0.0)));
    let many = read(&panel(20, 5, "", "", "feeds = 20\nsupplies_per_panel = 20\n"));
    let found = measurements(&network(&many), &soft_strip, &[1.0, 0.5]).unwrap();
    assert!(found.points.len() <= 12 && found.points.len() > 5);
}
