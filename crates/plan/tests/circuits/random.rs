//! Random panels, the same for the same seed.

use std::fmt::Write as _;

/// A small generator of numbers (xorshift64*): tests must give the same on every machine.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        // Mixed, so that seeds 1, 2, 3 do not start alike.
        let mut x = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
        x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        Self((x ^ (x >> 31)) | 1)
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }

    /// 0 to 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.share()
    }

    /// From `from` to `to`, both included.
    pub fn whole(&mut self, from: u32, to: u32) -> u32 {
        from + u32::try_from(self.next() % u64::from(to - from + 1)).unwrap()
    }

    pub fn one_in(&mut self, n: u32) -> bool {
        self.whole(1, n) == 1
    }

    pub fn pick<'a>(&mut self, from: &[&'a str]) -> &'a str {
        from[self.whole(0, u32::try_from(from.len()).unwrap() - 1) as usize]
    }

    /// About 0, spread 1: twelve shares, less six.
    pub fn noise(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }
}

/// A wall file of one panel: any path, turn, supplies, data lines, wires and places of feeds, some
/// strips perhaps unfed, sound or in deep brown-out.
pub fn wall_file(dice: &mut Dice, most_strips: u32, most_pixels: u32) -> String {
    let (strips, pixels) = (dice.whole(1, most_strips), dice.whole(1, most_pixels));
    let direction = dice.pick(&["vertical", "horizontal"]);
    let (columns, rows) = if direction == "vertical" { (strips, pixels) } else { (pixels, strips) };
    let turn = dice.pick(&["0", "90", "180", "270"]);
    let turned = turn == "90" || turn == "270";
    let (wide, high) = if turned { (rows, columns) } else { (columns, rows) };
    let enter = dice.pick(&["top-left", "top-right", "bottom-left", "bottom-right"]);
    let path = dice.pick(&["serpentine", "progressive"]);
    let jumpers = if dice.one_in(5) { "data" } else { "power and data" };
    let lines = if dice.one_in(3) { dice.whole(1, strips) } else { 1 };
    let supplies = if dice.one_in(2) { dice.whole(1, strips.min(4)) } else { 1 };
    let part = dice.pick(&["ws2812b-30", "ws2812b-60", "sk6812-rgbw-60", "ws2813-30"]);
    let rail = if dice.one_in(3) { dice.between(0.4, 2.0) } else { dice.between(0.03, 0.4) };
    let inside = if dice.one_in(4) { dice.between(0.001, 0.05) } else { 0.0 };
    let long = if dice.one_in(3) { 20.0 } else { 2.0 };

    let mut feeds = String::new();
    let often = dice.whole(1, 3);
    for strip in 1..=strips {
        for edge in ["near", "far"] {
            if dice.one_in(2 * often) || (strip == 1 && edge == "near" && !dice.one_in(8)) {
                let length = dice.between(0.1, long);
                let gauge = dice.pick(&["16 AWG", "20 AWG", "2.5 mm2", "0.5 mm2"]);
                writeln!(
                    feeds,
                    "{{ strip = {strip}, edge = \"{edge}\", wire = {{ gauge = \"{gauge}\", length = \
                     \"{length:.3} m\" }} }},"
                )
                .unwrap();
            }
        }
    }
    let jumper = dice.between(0.02, 0.5);
    let trim = dice.between(4.5, 5.5);
    let contact = dice.between(0.0, 0.01);
    format!(
        "format = 1\n[wall]\nname = \"Any\"\ncolumns = {wide}\nrows = {high}\n\
         [strip]\npart = \"{part}\"\nrail_ohms_per_metre = {rail}\n\
         [[panels]]\nname = \"only\"\nat = [0, 0]\ncolumns = {columns}\nrows = {rows}\nturn = {turn}\n\
         strips = \"{direction}\"\nenter = \"{enter}\"\npath = \"{path}\"\njumpers = \"{jumpers}\"\n\
         data_lines = {lines}\n\
         [power]\nsupplies_per_panel = {supplies}\ntrim_volts = {trim}\nsupply_ohms = {inside}\n\
         connection_ohms = {contact}\njumper_wire = {{ gauge = \"22 AWG\", length = \"{jumper:.3} m\" \
         }}\nfeeds = [\n{feeds}]\n"
    )
}
