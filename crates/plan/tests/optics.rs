//! What the eye sees, against closed forms, the reference's distances and traced rays.

mod support;

use std::f64::consts::PI;

use glowloom_plan::optics::cell::Cell;
use glowloom_plan::optics::{Optics, acuity, field_pixels, optics};
use glowloom_units::Metres;

fn of(text: &str) -> Optics {
    optics(&support::read(text), 1.0)
}

fn cell(width: f64, height: f64, depth: f64, reflectance: f64) -> Cell {
    Cell { width: Metres(width), height: Metres(height), depth: Metres(depth), reflectance }
}

/// One minute of arc (several second-hand sources): 3437.7 pitches. Worked out beforehand.
#[test]
fn merge_distances() {
    for (pitch, metres) in [(0.01, 34.38), (1.0 / 60.0, 57.30), (0.02, 68.75), (1.0 / 30.0, 114.59)]
    {
        let Metres(found) = acuity::merge_distance(Metres(pitch));
        assert_eq!((found * 100.0).round() / 100.0, metres, "{pitch}");
    }
    let found = of(&support::tidewall());
    assert!((found.merge_distance_m.0 - 114.59).abs() < 0.005);
    assert!((found.rule_of_thumb_m.0 - 33.333).abs() < 0.001);
    // Strips that lie further apart than their pixels are told apart from further away.
    let apart = of(&support::one(4, 4, "ws2812b-60", "strip_spacing = \"20 mm\"", ""));
    assert!((apart.merge_distance_m.0 - 68.75).abs() < 0.01);
}

/// From 4 m a field of 10 degrees is 0.70 m wide: 21 pixels of 33.3 mm.
#[test]
fn a_field_has_so_many_pixels() {
    let (across, down) = field_pixels(&support::read(&support::tidewall()));
    assert!((across - 20.997).abs() < 0.01 && (down - across).abs() < 1e-9, "{across} {down}");
    let apart = support::one(4, 4, "ws2812b-60", "strip_spacing = \"20 mm\"", "");
    let (across, down) = field_pixels(&support::read(&apart));
    assert!((across.max(down) / across.min(down) - 1.2).abs() < 1e-9, "{across} {down}");
}

/// Black walls: what reaches the cloth is straight light alone. A small Lambertian source gives
/// I cos^4 / depth^2 at that angle from its axis, by the inverse square, its own cosine and the
/// cloth's.
#[test]
fn black_walls_give_the_fourth_power_of_the_cosine() {
    for (width, height) in [(0.02, 0.02), (0.0333, 0.0166), (0.01, 0.04)] {
        for depth in [0.004, 0.01, 0.02, 0.05] {
            let found = cell(width, height, depth, 0.0).light().edge_to_centre;
            let angle = f64::atan2(f64::max(width, height) / 2.0, depth);
            let wanted = angle.cos().powi(4);
            assert!((found / wanted - 1.0).abs() < 0.01, "{width} x {height}, {depth}: {found}");
        }
    }
}

/// And of the light itself: over the solid angle of a square at distance 1 the cosine integrates to
/// the view factor of a parallel square over its centre (closed form, from memory).
#[test]
fn black_walls_keep_what_they_are_hit_by() {
    for depth in [0.3, 1.0, 3.0] {
        let half = 0.5 / depth;
        let root = f64::sqrt(1.0 + half * half);
        let wanted = 4.0 / PI * half / root * f64::atan(half / root);
        let found = cell(1.0, 1.0, depth, 0.0).light().reaching;
        assert!((found - wanted).abs() < 1e-9, "{depth}: {found}, not {wanted}");
    }
}

/// A plain generator of numbers from 0 to 1 (64-bit linear congruence), so that a failure repeats.
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A direction about the axis `axis` (facing `sign`) by the cosine law.
    fn cosine(&mut self, axis: usize, sign: f64) -> [f64; 3] {
        let (share, turn) = (self.next(), 2.0 * PI * self.next());
        let mut direction = [0.0; 3];
        direction[axis] = sign * (1.0 - share).sqrt();
        direction[(axis + 1) % 3] = share.sqrt() * turn.cos();
        direction[(axis + 2) % 3] = share.sqrt() * turn.sin();
        direction
    }
}

/// The way from a point in the box along a direction to its walls: the axis that is met.
fn onward(at: &mut [f64; 3], direction: [f64; 3], size: [f64; 3]) -> usize {
    let (mut near, mut axis) = (f64::INFINITY, 0);
    for i in 0..3 {
        let to = if direction[i] > 0.0 { size[i] - at[i] } else { -at[i] };
        if direction[i] != 0.0 && to / direction[i] < near {
            (near, axis) = (to / direction[i], i);
        }
    }
    for i in 0..3 {
        at[i] = (at[i] + near * direction[i]).clamp(0.0, size[i]);
    }
    axis
}

/// The share of the source's light that reaches the cloth, by rays from the source.
fn reaching(size: [f64; 3], reflectance: f64, rays: u32) -> f64 {
    let mut chance = Chance(7);
    let mut arrived = 0.0;
    for _ in 0..rays {
        // Corner at the origin; the source in the middle of the floor.
        let mut at = [size[0] / 2.0, size[1] / 2.0, 0.0];
        let mut direction = chance.cosine(2, 1.0);
        let mut weight = 1.0;
        while weight > 1e-3 {
            let axis = onward(&mut at, direction, size);
            if axis == 2 && direction[2] > 0.0 {
                arrived += weight;
                break;
            }
            weight *= reflectance;
            direction = chance.cosine(axis, if direction[axis] > 0.0 { -1.0 } else { 1.0 });
        }
    }
    arrived / f64::from(rays)
}

/// Light at a point of the cloth for a source of 1 cd, by rays from the point back into the box: at
/// each place that one meets, the source's straight light counts, once more reflected.
fn on_cloth(at: [f64; 2], size: [f64; 3], reflectance: f64, rays: u32) -> f64 {
    let straight = |point: [f64; 3], axis: usize| {
        let from = [size[0] / 2.0, size[1] / 2.0, 0.0];
        let way: [f64; 3] = std::array::from_fn(|i| point[i] - from[i]);
        let square: f64 = way.iter().map(|w| w * w).sum();
        way[2] * way[axis].abs() / (square * square)
    };
    let mut chance = Chance(11);
    let mut back = 0.0;
    for _ in 0..rays {
        let mut point = [at[0], at[1], size[2]];
        let mut direction = chance.cosine(2, -1.0);
        let mut weight = 1.0;
        while weight > 1e-3 {
            let axis = onward(&mut point, direction, size);
            if axis == 2 && direction[2] > 0.0 {
                break;
            }
            weight *= reflectance;
            // The floor gets nothing straight from a source that lies in it.
            back += if axis == 2 { 0.0 } else { weight * straight(point, axis) };
            direction = chance.cosine(axis, if direction[axis] > 0.0 { -1.0 } else { 1.0 });
        }
    }
    straight([at[0], at[1], size[2]], 2) + back / f64::from(rays)
}

/// White and grey walls: against 100,000 traced rays each.
#[test]
fn light_walls_agree_with_traced_rays() {
    for (width, height, depth, reflectance) in [
        (1.0, 1.0, 0.6, 0.7),
        (1.0, 1.0, 1.5, 0.7),
        (1.0, 1.0, 0.4, 0.3),
        (1.0, 0.5, 0.8, 0.9),
        (1.0, 0.5, 0.25, 0.8),
    ] {
        let size = [width, height, depth];
        let of = |at: f64| on_cloth([at, height / 2.0], size, reflectance, 100_000);
        let edge = of(width * 0.99999) / of(width / 2.0);
        let arrived = reaching(size, reflectance, 100_000);
        let found = cell(width, height, depth, reflectance).light();
        assert!((found.edge_to_centre / edge - 1.0).abs() < 0.04, "{found:?} against {edge}");
        assert!((found.reaching / arrived - 1.0).abs() < 0.02, "{found:?} against {arrived}");
    }
}

#[test]
fn the_depth_that_is_told_gives_what_is_wanted() {
    for (width, height, reflectance) in [(1.0, 1.0, 0.0), (0.033, 0.033, 0.7), (0.02, 0.05, 0.4)] {
        for wanted in [0.1, 0.35, 0.5, 0.8, 0.95] {
            let one = cell(width, height, 0.02, reflectance);
            let depth = one.depth_for(wanted).expect("some depth does");
            let found = Cell { depth, ..one }.light().edge_to_centre;
            assert!((found - wanted).abs() < 0.005, "{found}, not {wanted}, at {depth:?}");
        }
    }
    // Black walls, by the closed form: cos^4 = 0.5 at 32.77 degrees, half a cell over its tangent.
    let Metres(depth) = cell(1.0, 1.0, 1.0, 0.0).depth_for(0.5).expect("some depth does");
    let angle = 0.5f64.powf(0.25).acos();
    assert!((depth / (0.5 / angle.tan()) - 1.0).abs() < 0.005, "{depth}");
    assert_eq!(cell(1.0, 1.0, 1.0, 0.0).depth_for(0.9999), None, "no cell is that deep");
}

const CLOTH: &str = "[baffle]\ndepth = \"20 mm\"\n[diffuser]\n";

#[test]
fn cells_need_walls_and_cloth() {
    let cells = of(&format!("{}{CLOTH}", support::tidewall()));
    assert!(cells.cell_edge_to_centre.is_some() && cells.depth_for_evenness_m.is_some());
    for one in ["[baffle]\n", "[diffuser]\n", ""] {
        let found = of(&format!("{}{one}", support::tidewall()));
        assert_eq!((found.cell_edge_to_centre, found.depth_for_evenness_m), (None, None), "{one}");
        assert!(found.brightness_cd_m2.0 > 0.0);
    }
}

/// Worked by hand: black walls, 1 cd, a cloth that lets half through, cells of 33.3 mm square at 20 mm:
/// I x share x 0.5 x 0.5 / area; bare pixels of two candela without a cloth: I / area.
#[test]
fn brightness_of_a_cloth() {
    let wall = support::tidewall().replace("[panel]", "candela = 1\n[panel]");
    let wall = format!("{wall}{CLOTH}cell_reflectance = 0\ntransmission = 0.5\n");
    let found = optics(&support::read(&wall), 0.5);
    let half: f64 = (1.0 / 60.0) / 0.02;
    let root = f64::sqrt(1.0 + half * half);
    let share = 4.0 / PI * half / root * f64::atan(half / root);
    let wanted = share * 0.5 * 0.5 * 900.0;
    assert!((found.brightness_cd_m2.0 / wanted - 1.0).abs() < 1e-6, "{found:?}");
    let bare = support::tidewall().replace("[panel]", "candela = \"2 cd\"\n[panel]");
    assert!((of(&bare).brightness_cd_m2.0 - 1800.0).abs() < 1e-6);
    // Where the file says nothing: 4.3 cd for each watt of 5 V x 60 mA.
    assert!((of(&support::tidewall()).pixel_candela.0 - 4.3 * 0.3).abs() < 1e-12);
}

/// 32 rows hold four lines of 7 dots and their gaps, 60 columns ten letters of 5; at 4 m 20 minutes of
/// arc are 23.3 mm, less than the 233 mm of one letter.
#[test]
fn text_that_fits() {
    let found = of(&support::tidewall());
    assert_eq!((found.text_dot_pixels, found.text_rows, found.text_columns), (1, 4, 10));
    assert!((found.letter_height_m.0 - 4.0 * (20.0f64 / 60.0).to_radians()).abs() < 1e-4);
    // 60 m away a letter is 349 mm: two pixels a dot.
    let far = support::tidewall()
        .replace("rows = 32\n[strip]", "rows = 32\nseen_from = \"60 m\"\n[strip]");
    let found = of(&far);
    assert_eq!((found.text_dot_pixels, found.text_rows, found.text_columns), (2, 2, 5));
}

/// The ends of what a file may say: every figure is a number.
#[test]
fn extremes_give_numbers() {
    let baffles = ["depth = \"0.1 mm\"\n", "depth = \"1000 m\"\n", ""];
    let cloths = [
        "cell_reflectance = 0.98\ntransmission = 0.01\nwanted_evenness = 0.99\n",
        "cell_reflectance = 0\nwanted_evenness = 0.01\n",
    ];
    let rest = "[board]\nmaterial = \"plywood\"\nthickness = \"0.1 mm\"\nsheet = [\"1000 m\", \"0.1 mm\"]\n\
                [stock]\nwire_spool = \"0.1 mm\"\n[hanging]\nrated = \"1 g\"\nrated_in_peel = \"1 g\"\n\
                supply_mass = \"0 kg\"\n[prices]\nws2812b-30 = 1e12\n";
    for (columns, rows) in [(65_535, 1), (4, 3)] {
        for pitch in ["0.5", "1000"] {
            for spacing in ["strip_spacing = \"0.1 mm\"\n", "strip_spacing = \"1000 m\"\n"] {
                for (baffle, cloth) in
                    baffles.iter().flat_map(|b| cloths.iter().map(move |c| (b, c)))
                {
                    let part =
                        format!("ws2812b-30\"\npixels_per_metre = {pitch}\ncandela = 100000 #");
                    let text = support::one(
                        columns,
                        rows,
                        &part,
                        spacing,
                        &format!("[baffle]\n{baffle}[diffuser]\n{cloth}{rest}"),
                    );
                    let plan = glowloom_plan::plan(&support::read(&text));
                    let optics = &plan.optics;
                    let (even, light) = optics
                        .cell_edge_to_centre
                        .zip(optics.light_on_cloth)
                        .expect("there are cells");
                    assert!((0.0..=1.05).contains(&even), "{even}\n{text}");
                    assert!((0.0..=1.0).contains(&light), "{light}\n{text}");
                    assert!(
                        optics.depth_for_evenness_m.is_none_or(|d| d.0.is_finite() && d.0 > 0.0)
                    );
                    assert!(optics.brightness_cd_m2.0.is_finite());
                    let structure = plan.structure.as_ref().expect("it hangs");
                    let bending = structure.bending.as_ref().expect("plywood bends");
                    for number in [
                        structure.safety_factor,
                        structure.panel_kg.0,
                        structure.peel_per_fixing_kg.0,
                        structure.centre_of_gravity.out_m.0,
                        bending.sag_m.0,
                    ] {
                        assert!(number.is_finite() && number > 0.0, "{number}\n{text}");
                    }
                    assert!(plan.cost.as_ref().is_some_and(|cost| cost.total.is_finite()));
                }
            }
        }
    }
}
