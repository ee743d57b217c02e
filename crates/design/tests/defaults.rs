//! What holds when the file says nothing, and how feeds are spread.

use glowloom_design::read;

/// A wall that is right, to put something wrong beside.
const HEAD: &str = "format = 1\n[wall]\nname = \"W\"\ncolumns = 20\nrows = 10\n";
const STRIP: &str = "[strip]\npart = \"ws2812b-30\"\n";
const PANEL: &str = "[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 10\nrows = 10\n";

fn base() -> String {
    format!("{HEAD}{STRIP}{PANEL}")
}

#[test]
fn defaults_of_the_design() {
    use glowloom_design::wall::{
        Corner, DataLevel, Direction, Jumpers, Link, OnLoss, Path, Protocol,
    };
    use glowloom_units::{Amps, Gauge, Metres, Ohms, Volts};
    let wall = read(base().as_bytes()).unwrap();
    let panel = &wall.panels[0];
    assert_eq!((panel.strips, panel.enter), (Direction::Vertical, Corner::BottomLeft));
    assert_eq!((panel.path, panel.jumpers), (Path::Serpentine, Jumpers::PowerAndData));
    assert_eq!((panel.data_lines, panel.spare_pixels, panel.first_universe), (1, 0, 1));
    assert_eq!(panel.feeds.len(), 1);
    assert_eq!(panel.feeds[0].wire.gauge, Some(Gauge::Awg(16)));
    assert_eq!(panel.feeds[0].wire.length, Metres(1.0));
    assert_eq!(panel.feeds[0].wire.amps, Some(Amps(10.0)));
    let power = &wall.power;
    assert_eq!(power.jumper_wire.gauge, Some(Gauge::Awg(22)));
    assert_eq!((power.brightness_limit, power.typical_level), (1.0, 0.33));
    assert_eq!((power.connection_ohms, power.least_volts), (Ohms(0.002), Volts(4.0)));
    assert_eq!((power.efficiency, power.power_factor), (0.85, 0.6));
    assert_eq!((power.supply.amps, power.trim_volts), (Amps(60.0), Volts(5.0)));
    let receiver = &wall.receiver;
    assert_eq!((receiver.link, receiver.protocol), (Link::Wifi, Protocol::E131));
    assert_eq!((receiver.data_level, receiver.on_loss), (DataLevel::Shifter, OnLoss::Black));
    assert_eq!((receiver.baud, receiver.sync_universe), (921_600, 2));
    assert_eq!(wall.strip.knee_volts, [Volts(2.6), Volts(3.8), Volts(3.8), Volts(3.8)]);
    assert!(wall.baffle.is_none() && wall.board.is_none() && wall.prices.is_none());
    assert_eq!(wall.show.brightness, 0.8);
}

/// reference cases of the spreading rule: 16 strips and 3 feeds: 3, 8, 14; 20 and 3: 4, 10, 17;
/// 16 and 8: 1, 3 .. 15; 17 strips, 2 supplies, 5 feeds: 2, 5, 8 and 11, 15.
#[test]
fn feeds_are_spread_evenly() {
    let strips_fed = |strips: u32, supplies: u32, feeds: u32| {
        let text = format!(
            "{HEAD}{STRIP}[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = {strips}\nrows = 10\n[power]\nsupplies_per_panel = {supplies}\nfeeds = {feeds}\n"
        );
        let wall = read(text.as_bytes()).unwrap();
        wall.panels[0].feeds.iter().map(|f| (f.strip, f.supply)).collect::<Vec<_>>()
    };
    let of_one = |strips: &[u32]| strips.iter().map(|s| (*s, 1)).collect::<Vec<_>>();
    assert_eq!(strips_fed(16, 1, 3), of_one(&[3, 8, 14]));
    assert_eq!(strips_fed(20, 1, 3), of_one(&[4, 10, 17]));
    assert_eq!(strips_fed(16, 1, 8), of_one(&[1, 3, 5, 7, 9, 11, 13, 15]));
    assert_eq!(strips_fed(17, 2, 5), [(2, 1), (5, 1), (8, 1), (11, 2), (15, 2)]);
}

/// A feed's own wire before its panel's, before the wall's.
#[test]
fn the_wire_of_a_feed() {
    use glowloom_units::{Gauge, Metres};
    let panel = |rest: &str| {
        let text = format!(
            "{HEAD}{STRIP}[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 2\nrows = 1\n\
             feeds = [{{ strip = 1, edge = \"near\", wire = {{ gauge = \"20 AWG\" }} }}, {{ strip = 2 }}]\n\
             {rest}[power]\nfeed_wire = {{ gauge = \"14 AWG\", length = \"3 m\" }}\n"
        );
        let wall = read(text.as_bytes()).unwrap();
        let gauges: Vec<_> = wall.panels[0].feeds.iter().map(|f| f.wire.gauge).collect();
        (gauges, wall.panels[0].feed_wire.length)
    };
    let awg = |gauges: &[u8]| gauges.iter().map(|n| Some(Gauge::Awg(*n))).collect::<Vec<_>>();
    assert_eq!(panel(""), (awg(&[20, 14]), Metres(3.0)));
    // A table that gives no length has the one that no table has.
    let own = "feed_wire = { gauge = \"18 AWG\" }\n";
    assert_eq!(panel(own), (awg(&[20, 18]), Metres(1.0)));
}

/// What a reading is when it says little: a white picture under the wall's ceiling, through a meter of
/// usual accuracy.
#[test]
fn readings_of_a_meter() {
    use glowloom_design::wall::{Current, Edge, Lit, Subject, Tips};
    use glowloom_units::{Amps, Volts};
    let text = base()
        + "[power]\nbrightness_limit = 0.6\n\
           [[measured]]\npanel = \"a\"\nstrip = 5\nedge = \"near\"\nvolts = 4.0\namps = 10\n\
           [[measured]]\npanel = \"a\"\nstrip = 2\npixel = 9\nvolts = 4\nvolts_error = \"5 mV\"\nshowing = \"red\"\n\
           [[measured]]\nbench = true\npixels = 40\nvolts_at_start = 4.9\namps = 2\n";
    let wall = read(text.as_bytes()).unwrap();
    let [on_feed, at_pixel, bench] = &wall.measured[..] else { panic!("{:#?}", wall.measured) };
    assert_eq!((on_feed.subject, on_feed.lit), (Subject::Panel(0), Lit::White));
    assert_eq!((on_feed.brightness, on_feed.fed_with), (0.6, None));
    let (tips, volts) = on_feed.volts.unwrap();
    assert_eq!(tips, Tips::Pads { strip: 5, edge: Edge::Near });
    assert_eq!((volts.shown, volts.error), (Volts(4.0), Volts(0.03)));
    let (current, amps) = on_feed.amps.unwrap();
    assert_eq!(current, Current::Feed { strip: 5, edge: Edge::Near });
    assert_eq!((amps.shown, amps.error), (Amps(10.0), Amps(0.25)));
    let (tips, volts) = at_pixel.volts.unwrap();
    assert_eq!((tips, volts.error), (Tips::Pixel { strip: 2, pixel: 9 }, Volts(0.005)));
    assert_eq!((at_pixel.lit, at_pixel.amps), (Lit::Red, None));
    assert_eq!(bench.subject, Subject::Bench { pixels: 40, dark_pixels: 0 });
    assert_eq!((bench.brightness, bench.fed_with), (1.0, Some(Volts(4.9))));
    assert_eq!((bench.volts, bench.amps.unwrap().0), (None, Current::Whole));
    assert_eq!(wall.place(&["measured.1.volts"]).line, 25);
    // The light of a picture on strips of three and four colours.
    assert_eq!(Lit::White.levels(3), [1.0, 1.0, 1.0, 0.0]);
    assert_eq!(Lit::White.levels(4), [0.0, 0.0, 0.0, 1.0]);
    assert!(read(base().as_bytes()).unwrap().measured.is_empty());
}

#[test]
fn another_strip_within_what_a_file_may_say() {
    use glowloom_units::{Amps, OhmsPerMetre};
    let wall = read(base().as_bytes()).unwrap();
    let other = wall.with_strip(OhmsPerMetre(0.07), Amps(0.013)).unwrap();
    let said = base().replace(
        "part = \"ws2812b-30\"\n",
        "part = \"ws2812b-30\"\nrail_ohms_per_metre = 0.07\nchannel_amps = 0.013\n",
    );
    assert_eq!(other.strip, read(said.as_bytes()).unwrap().strip);
    assert_eq!(wall.with_strip(OhmsPerMetre(1001.0), Amps(0.013)), None);
    assert_eq!(wall.with_strip(OhmsPerMetre(0.1), Amps(f64::NAN)), None);
}

#[test]
fn hung_otherwise_within_what_a_file_may_say() {
    use glowloom_design::wall::SupplyOn;
    let hung = |said: &str| read(format!("{}[hanging]\n{said}", base()).as_bytes()).unwrap();
    let other = hung("").with_hanging(9, SupplyOn::Floor).unwrap();
    assert_eq!(other.hanging, hung("fixings_per_panel = 9\nsupply_on = \"floor\"\n").hanging);
    assert_eq!(hung("").with_hanging(0, SupplyOn::Floor), None);
    assert_eq!(hung("").with_hanging(10_001, SupplyOn::Floor), None);
    assert_eq!(read(base().as_bytes()).unwrap().with_hanging(9, SupplyOn::Floor), None);
}

/// What hangs, is cut and is bought: each key where the file says nothing, and as it says.
#[test]
fn defaults_of_making() {
    use glowloom_design::wall::{Body, Fixing, SupplyOn};
    use glowloom_units::{Candelas, Kilograms, Metres, Pascals};
    let wall = read(base().as_bytes()).unwrap();
    assert_eq!((wall.wire_buying.spool, wall.wire_buying.spare), (Metres(25.0), 0.1));
    assert_eq!((wall.power.mains.cord, wall.strip.candela), (Metres(2.0), None));
    assert!(wall.stock.is_none());
    let text = format!("{}[board]\n[diffuser]\n[hanging]\n", base());
    let wall = read(text.as_bytes()).unwrap();
    let board = wall.board.as_ref().unwrap();
    assert_eq!(
        (board.body, board.saw_cut, board.stiffness),
        (Some(Body::Paper), Metres(0.0), None)
    );
    let cloth = wall.diffuser.as_ref().unwrap();
    assert_eq!((cloth.wrap, cloth.roll_width), (Metres(0.04), Metres(1.5)));
    assert_eq!((cloth.transmission, cloth.cell_reflectance), (0.5, 0.7));
    assert_eq!((cloth.mass.0, cloth.wanted_evenness), (0.15, None));
    let hanging = wall.hanging.as_ref().unwrap();
    assert_eq!((hanging.kind, hanging.above_people), (Fixing::Adhesive, false));
    assert_eq!((hanging.safety_cord, hanging.supply_on), (false, None));
    assert_eq!((hanging.supply_at, hanging.supply_mass), (None, None));
    assert_eq!(hanging.rated_in_peel, None);
    let strip = STRIP.replace("[strip]", "[strip]\ncandela = \"900 mcd\"");
    let text = format!(
        "{HEAD}{strip}{PANEL}[power]\nmains = {{ cord = \"3 m\" }}\n\
         [board]\nmaterial = \"plywood\"\nstiffness = \"8 GPa\"\nsaw_cut = \"3 mm\"\n\
         [stock]\nwire_spool = \"100 ft\"\nwire_spare = 0.2\n\
         [diffuser]\nroll_width = \"60 in\"\nkg_per_square_metre = 0.1\ntransmission = 0.6\n\
         cell_reflectance = 0\nwanted_evenness = 0.7\n\
         [hanging]\nkind = \"hooks\"\nabove_people = true\nsafety_cord = true\nsupply_on = \"floor\"\n\
         supply_at = [\"0 mm\", \"30 cm\"]\nsupply_mass = \"900 g\"\nrated_in_peel = \"1 lb\"\n"
    );
    let wall = read(text.as_bytes()).unwrap();
    assert_eq!((wall.power.mains.cord, wall.strip.candela), (Metres(3.0), Some(Candelas(0.9))));
    assert_eq!((wall.wire_buying.spool, wall.wire_buying.spare), (Metres(30.48), 0.2));
    let board = wall.board.as_ref().unwrap();
    assert_eq!((board.stiffness, board.saw_cut), (Some(Pascals(8e9)), Metres(0.003)));
    let cloth = wall.diffuser.as_ref().unwrap();
    assert_eq!((cloth.roll_width, cloth.mass.0), (Metres(1.524), 0.1));
    assert_eq!((cloth.transmission, cloth.cell_reflectance), (0.6, 0.0));
    assert_eq!(cloth.wanted_evenness, Some(0.7));
    let hanging = wall.hanging.as_ref().unwrap();
    assert_eq!((hanging.kind, hanging.supply_on), (Fixing::Hooks, Some(SupplyOn::Floor)));
    assert!(hanging.above_people && hanging.safety_cord);
    assert_eq!(hanging.supply_at, Some((Metres(0.0), Metres(0.3))));
    assert_eq!(hanging.supply_mass, Some(Kilograms(0.9)));
    assert_eq!(hanging.rated_in_peel, Some(Kilograms(0.453_592_37)));
}

/// What the strip's light is like, what is wanted of pictures, and what panels keep: each key where the
/// file says nothing, and as it says.
#[test]
fn defaults_of_colour() {
    use glowloom_design::wall::Filter;
    use glowloom_units::Chromaticity;
    let wall = read(base().as_bytes()).unwrap();
    let light = wall.strip.light;
    assert_eq!((light.primaries, light.white_point), (Chromaticity::SRGB, Chromaticity::D65));
    assert_eq!((light.gamma, light.white_light), (1.0, [1.0; 3]));
    assert_eq!(wall.panels[0].shares, [1.0; 4]);
    let show = &wall.show;
    assert_eq!((show.saturation, show.white_point), (1.0, Chromaticity::D65));
    assert_eq!((show.dither, show.filter), (true, Filter::Area));
    let strip = STRIP.replace(
        "[strip]",
        "[strip]\nprimaries = [[0.69, 0.31], [0.17, 0.7], [0.13, 0.08]]\nwhite_point = [0.28, 0.29]\n\
         gamma = 2.2\nwhite_light = [2, 1.6, 0.9]",
    );
    let other = PANEL.replace("\"a\"", "\"b\"").replace("[0, 0]", "[10, 0]");
    let text = format!(
        "{HEAD}{strip}[panel]\nbrightness = 0.5\nbalance = [1, 0.5, 0.25]\n{PANEL}\
         {other}brightness = 0.8\nbalance = [1, 1, 1, 0.5]\n\
         [show]\nsaturation = 1.2\nwhite_point = [0.3457, 0.3585]\ndither = false\nfilter = \"sharp\"\n"
    );
    let wall = read(text.as_bytes()).unwrap();
    let at = |x, y| Chromaticity::new(x, y).unwrap();
    let light = wall.strip.light;
    assert_eq!(light.primaries, [at(0.69, 0.31), at(0.17, 0.7), at(0.13, 0.08)]);
    assert_eq!((light.white_point, light.gamma), (at(0.28, 0.29), 2.2));
    assert_eq!(light.white_light, [2.0, 1.6, 0.9]);
    assert_eq!(wall.panels[0].shares, [0.5, 0.25, 0.125, 0.5]);
    assert_eq!(wall.panels[1].shares, [0.8, 0.8, 0.8, 0.4]);
    let show = &wall.show;
    assert_eq!((show.saturation, show.white_point), (1.2, at(0.3457, 0.3585)));
    assert_eq!((show.dither, show.filter), (false, Filter::Sharp));
}
