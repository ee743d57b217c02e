//! A new wall file, commented, from a few answers.

use std::fmt::Write;

use glowloom_units::Figures;

use crate::catalogue::{receiver, strip, supply};
use crate::wall::{Link, MainsColours, shared};

/// What has to be known before a file can be written.
#[derive(Clone, Debug, PartialEq)]
pub struct Answers {
    /// What the maker calls it.
    pub name: String,
    /// Pixels across the picture.
    pub columns: u32,
    /// Pixels down the picture.
    pub rows: u32,
    /// Panels side by side.
    pub panels_across: u32,
    /// Panels one above the other.
    pub panels_down: u32,
    /// A strip of the catalogue.
    pub strip: String,
    /// A receiver of the catalogue.
    pub board: String,
    /// How frames reach it.
    pub link: Link,
    /// Units that results are printed in.
    pub figures: Figures,
    /// Colours of the mains conductors where the wall hangs.
    pub mains: MainsColours,
    /// Ceiling of every channel, 0.01 to 1 in hundredths.
    pub brightness_limit: f64,
}

impl Default for Answers {
    fn default() -> Self {
        Self {
            name: "New wall".into(),
            columns: 30,
            rows: 20,
            panels_across: 1,
            panels_down: 1,
            strip: "ws2812b-30".into(),
            board: "esp8266".into(),
            link: Link::Wifi,
            figures: Figures::Metric,
            mains: MainsColours::Iec,
            brightness_limit: 0.6,
        }
    }
}

impl Answers {
    /// The text of the file. Whether it is a good wall is for [`crate::read`] and the plan to say.
    #[must_use]
    pub fn text(&self) -> String {
        let mut out = String::new();
        // Writing to a text cannot fail.
        let _ = self.write(&mut out);
        out.lines().map(|line| format!("{}\n", with_aligned_comment(line))).collect()
    }

    fn write(&self, out: &mut String) -> std::fmt::Result {
        self.write_wall(out)?;
        self.write_panels(out)?;
        self.write_power(out)?;
        self.write_receiver(out)?;
        self.write_baffle(out)?;
        out.push_str(MAKING);
        self.write_prices(out)?;
        out.push_str(SHOWING);
        Ok(())
    }

    fn write_wall(&self, out: &mut String) -> std::fmt::Result {
        let (figures, other) = match self.figures {
            Figures::Metric => ("metric", "imperial"),
            Figures::Imperial => ("imperial", "metric"),
        };
        let name = quoted(&self.name);
        writeln!(
            out,
            "# A wall of light, whole in this file. After each change: glowloom check, glowloom plan.\n\
             # Lengths take a unit: \"1.2 m\", \"40 mm\", \"48 in\", \"4 ft\"; wire \"16 AWG\" or \"1.5 mm2\".\n\
             # Lines that begin with # are examples: take the # away and change them.\n\
             format = 1\n\
             \n\
             [wall]\n\
             name = {name}\n\
             columns = {}                      # pixels across the picture\n\
             rows = {}                         # pixels down\n\
             seen_from = \"4 m\"                 # nearest viewer\n\
             figures = \"{figures}\"  # or \"{other}\": how results are printed\n",
            self.columns, self.rows,
        )?;
        let strips = strip::ALL.iter().map(|part| part.key).collect::<Vec<_>>().join(", ");
        writeln!(out, "[strip]\npart = {}         # of the catalogue:", quoted(&self.strip))?;
        for line in wrapped(&strips, 84) {
            writeln!(out, "#   {line}")?;
        }
        let Some(part) = strip::find(&self.strip) else { return writeln!(out) };
        let chip = part.chip;
        let [red, green, blue, _] = chip.knee_volts.value;
        writeln!(
            out,
            "# Strips of one name differ by a factor of two: measure yours (plan --meter tells how).\n\
             # rail_ohms_per_metre = {}       # one rail, one way; 0.04 to 0.2 is seen\n\
             # channel_amps = {}              # one colour, full on\n\
             # idle_amps = {}\n\
             # knee_volts = [{}, {}, {}]      # red, green, blue\n\
             # roll_pixels = {}\n\
             # order = \"{}\"\n",
            chip.rail_ohms_per_metre.value.0,
            chip.channel_amps.value.0,
            chip.idle_amps.value.0,
            red.0,
            green.0,
            blue.0,
            part.roll_pixels.value,
            chip.order.value,
        )
    }

    /// The whole shape once, and only what differs for each panel.
    fn write_panels(&self, out: &mut String) -> std::fmt::Result {
        let widths: Vec<u32> = shared(self.columns, self.panels_across).collect();
        let heights: Vec<u32> = shared(self.rows, self.panels_down).collect();
        let (width, height) = (first(&widths), first(&heights));
        writeln!(
            out,
            "[panel]                           # what panels share; a [[panels]] entry may differ\n\
             columns = {width}\n\
             rows = {height}\n\
             strips = \"vertical\"               # or \"horizontal\"\n\
             enter = \"bottom-left\"             # corner of the first pixel, seen from the front\n\
             path = \"serpentine\"               # or \"progressive\"\n\
             data_lines = 1                    # receiver pins that the strips are shared among\n\
             spare_pixels = 0                  # unlit, at the head of each data line\n\
             jumpers = \"power and data\"        # or \"data\"\n\
             # strip_spacing = \"{:.1} mm\"  # across the strips; absent: the pixel pitch\n",
            strip::find(&self.strip).map_or(33.3, |part| part.pixels_per_metre.pitch().0 * 1000.0),
        )?;
        let mut top = 0;
        for (down, panel_height) in heights.iter().enumerate() {
            let mut left = 0;
            for (across, panel_width) in widths.iter().enumerate() {
                let name = quoted(&self.panel_name(across, down));
                writeln!(out, "[[panels]]\nname = {name}\nat = [{left}, {top}]")?;
                if *panel_width != width {
                    writeln!(out, "columns = {panel_width}")?;
                }
                if *panel_height != height {
                    writeln!(out, "rows = {panel_height}")?;
                }
                if across == 0 && down == 0 {
                    out.push_str(
                        "# turn = 0                        # degrees clockwise as hung: 0, 90, 180, 270\n\
                         # address = \"192.0.2.51\"          # its receiver; absent: a virtual panel\n",
                    );
                }
                writeln!(out)?;
                left += panel_width;
            }
            top += panel_height;
        }
        Ok(())
    }

    fn panel_name(&self, across: usize, down: usize) -> String {
        match (self.panels_across, self.panels_down, across) {
            (1, 1, _) => "whole".into(),
            (2, 1, 0) | (3, 1, 0) => "west".into(),
            (3, 1, 1) => "middle".into(),
            (2, 1, 1) | (3, 1, 2) => "east".into(),
            (_, 1, _) => format!("panel {}", across + 1),
            _ => format!("row {} panel {}", down + 1, across + 1),
        }
    }

    /// The smallest supply of the catalogue that carries a panel at full white with room to spare.
    fn supply(&self) -> Option<&'static supply::SupplyPart> {
        let chip = strip::find(&self.strip)?.chip;
        let widest = self.columns.div_ceil(self.panels_across.max(1));
        let highest = self.rows.div_ceil(self.panels_down.max(1));
        let pixels = f64::from(widest) * f64::from(highest);
        let channels = if chip.order.value.len() == 4 { 4.0 } else { 3.0 };
        let amps = (chip.channel_amps.value * channels + chip.idle_amps.value) * pixels;
        let fits = |part: &&supply::SupplyPart| part.volts == chip.volts.value;
        let mut of_volts = supply::ALL.iter().filter(fits);
        of_volts.clone().find(|part| part.amps * 0.8 >= amps).or_else(|| of_volts.next_back())
    }

    fn write_power(&self, out: &mut String) -> std::fmt::Result {
        let key = self.supply().map_or("5v-60a", |part| part.key);
        let volts = self.supply().map_or(5.0, |part| part.volts.0);
        let supplies = supply::ALL.iter().map(|part| part.key).collect::<Vec<_>>().join(", ");
        let (mains, colours) = match self.mains {
            MainsColours::Iec => ("volts = 230, hertz = 50, circuit_amps = 10", "iec"),
            MainsColours::Us => ("volts = 120, hertz = 60, circuit_amps = 15", "us"),
        };
        let (feed, jumper) = match self.figures {
            Figures::Metric => {
                ("gauge = \"2.5 mm2\", length = \"1.2 m\"", "gauge = \"1 mm2\", length = \"40 mm\"")
            }
            Figures::Imperial => {
                ("gauge = \"14 AWG\", length = \"4 ft\"", "gauge = \"18 AWG\", length = \"1.6 in\"")
            }
        };
        // A feed on every second strip is a start; the plan says what it gives.
        let feeds = self.columns.div_ceil(self.panels_across.max(1)).div_ceil(2);
        let ceiling = format!("brightness_limit = {}", self.brightness_limit);
        let feeds = feeds.min(self.columns / self.panels_across.max(1)).max(1);
        writeln!(
            out,
            "[power]\n\
             supply = \"{key}\"                 # {supplies}\n\
             supplies_per_panel = 1\n\
             trim_volts = {volts:.1}                  # what the supply is set to\n\
             feeds = {feeds}                         # this many, spread evenly over the near edge; or a list:\n\
             # feeds = [{{ strip = 1, edge = \"near\" }}, {{ strip = 2, edge = \"far\" }}]\n\
             feed_wire = {{ {feed} }}        # one way\n\
             jumper_wire = {{ {jumper} }}\n\
             connection_ohms = 0.002           # each soldered or screwed end of each conductor\n\
             least_volts = {:.1}                 # lowest voltage wanted at any pixel\n\
             {ceiling:34}# ceiling, 0 to 1, of every channel\n\
             typical_level = 0.33              # of full white, for typical figures\n\
             # The circuit that the wall is plugged into, and the colours of its conductors:\n\
             # \"iec\" brown line, blue neutral, green-and-yellow earth; \"us\" black line, white neutral,\n\
             # green ground. Local codes rule; ask a licensed electrician where they want one.\n\
             mains = {{ {mains}, colours = \"{colours}\" }}\n",
            volts * 0.8,
        )
    }

    fn write_receiver(&self, out: &mut String) -> std::fmt::Result {
        let boards = receiver::ALL.iter().map(|part| part.key).collect::<Vec<_>>().join(", ");
        writeln!(
            out,
            "[receiver]\n\
             board = {}                 # {boards}\n\
             link = \"{}\"                     # \"ethernet\", \"wifi\", \"usb\"\n\
             protocol = \"e1.31\"                # or \"art-net\", \"ddp\"\n\
             frames_per_second = 30            # wanted\n\
             data_level = \"shifter\"            # how a 3.3 V pin meets a 5 V strip; or \"spare pixel\", \"none\"\n\
             data_lead = \"300 mm\"              # receiver to first pixel\n\
             amps = 0.3                        # drawn by the receiver, from the panel's supply\n\
             on_loss = \"black\"                 # or \"keep\", \"glow\": when frames stop\n",
            quoted(&self.board),
            self.link.key(),
        )
    }

    fn write_baffle(&self, out: &mut String) -> std::fmt::Result {
        let pitch = strip::find(&self.strip).map_or(1.0 / 30.0, |p| p.pixels_per_metre.pitch().0);
        writeln!(
            out,
            "# What is absent, the wall has none of. Take the # away to have it planned.\n\
             # [baffle]                          # the printed grid\n\
             # bed = [\"220 mm\", \"220 mm\"]\n\
             # wall = \"0.8 mm\"\n\
             # depth = \"20 mm\"\n\
             # material = \"pla\"                  # petg, abs, asa\n\
             # flow = \"6 mm3/s\"                  # what the printer really lays down\n\
             # nozzle = \"0.4 mm\"\n\
             # hours_per_day = 12                # that the printer runs\n\
             # between_prints = \"15 min\"         # to take a tile off and start the next\n\
             # fit_gap = \"0.2 mm\"               # between two tiles\n\
             # channel = [\"12 mm\", \"3 mm\"]      # for the strip, under walls: width, height\n\
             # lead_in = \"1 mm\"  # by which its mouth is wider on each side\n\
             # joint_room = [\"{:.1} mm\", \"6 mm\"]  # over strip ends: inward, height\n\
             # lip = [\"{:.1} mm\", \"1 mm\"]  # inward flange at the cloth: width, thickness\n\
             # rim = \"1.2 mm\"                   # a closed rim around each panel\n\
             # filament_diameter = \"1.75 mm\"\n\
             # spool = \"1 kg\"\n",
            (pitch * 300.0).min(10.0),
            pitch * 30.0,
        )
    }

    fn write_prices(&self, out: &mut String) -> std::fmt::Result {
        let currency = if self.mains == MainsColours::Us { "USD" } else { "EUR" };
        writeln!(
            out,
            "# [prices]\n\
             # currency = \"{currency}\"\n\
             # {} = 14.0             # by catalogue key, as one buys it\n\
             # energy_per_kwh = 0.30\n\
             # hours_per_day = 5                 # that the wall is lit\n",
            self.strip,
        )
    }
}

const MAKING: &str = "\
# [board]                           # what the strips are glued to
# material = \"corrugated-card\"      # foam-board, plywood, aluminium-composite
# thickness = \"5 mm\"
# sheet = [\"1.2 m\", \"0.8 m\"]         # as bought

# [diffuser]                        # the cloth in front
# wrap = \"40 mm\"
# roll_width = \"1.5 m\"              # as bought
# transmission = 0.5                # share of the light that comes through; measure yours
# cell_reflectance = 0.7            # of the cells' walls and floor: white 0.7, black 0

# [hanging]
# kind = \"adhesive\"                # screws, hooks
# rated = \"1.8 kg\"                  # of one fixing, along the wall
# fixings_per_panel = 4
# above_people = false
# safety_cord = false               # a cord or hook besides, on each panel
# supply_on = \"wall\"               # or board, floor: what carries the supplies; never card
# above_floor = \"1.2 m\"             # height of the wall's lower edge

# [stock]
# rolls = [90, 150]                 # strip on the shelf, in pixels
# wire_spool = \"25 m\"              # wire on a spool as bought

";

const SHOWING: &str = "\
[show]
brightness = 0.8                  # of the ceiling
# saturation = 1.0                  # how far colours are from grey
# white_point = [0.3127, 0.329]     # CIE x and y of white; [0.3457, 0.3585] is warmer
# filter = \"area\"                 # or sharp: crisper edges
# dither = true                     # in time, from 50 frames a second on
# even_out = false                  # dims pixels near a feed to match those far from one
# quiet_hours = [{ from = \"23:00\", to = \"07:00\", brightness = 0.0 }]
# [[show.running_order]]            # as many as there are scenes
# source = \"pictures/tide.gif\"    # or tide, text:Open, clock
# seconds = 20
# repeats = 1                       # times from its beginning before the next
# fade = 2                          # over what was there before
# from = \"08:00\"                  # due from here to there, on these days alone
# to = \"23:00\"
# days = [\"mon\", \"tue\", \"wed\", \"thu\", \"fri\"]
# over = \"clock\"                  # laid over it: where that is black, the scene is seen
# strength = 0.8                    # of what is laid over it
# on_failure = \"keep\"             # the last frame; or next, or another source
";

fn first(items: &[u32]) -> u32 {
    items.first().copied().unwrap_or(1)
}

/// A TOML basic string.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Comments begin in one column, where what stands before them leaves room.
fn with_aligned_comment(line: &str) -> String {
    const COLUMN: usize = 34;
    // A name that a person gave is not looked into.
    let given = line.starts_with("name = ");
    match line.rsplit_once("  # ").filter(|_| !given) {
        Some((before, comment)) if before.trim_end().len() < COLUMN => {
            format!("{:COLUMN$}# {comment}", before.trim_end())
        }
        Some((before, comment)) => format!("{}  # {comment}", before.trim_end()),
        None => line.to_owned(),
    }
}

/// Lines of at most `width` characters, broken after commas.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for item in text.split_inclusive(", ") {
        if lines.last().is_some_and(|line| line.len() + item.len() > width) {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            line.push_str(item);
        }
    }
    lines.iter().map(|line| line.trim_end().to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_drafted_is_a_wall() {
        for (columns, rows, across, down) in
            [(30, 20, 1, 1), (60, 32, 3, 1), (61, 33, 4, 2), (1, 1, 1, 1), (7, 9, 2, 1)]
        {
            for part in strip::ALL {
                for mains in [MainsColours::Iec, MainsColours::Us] {
                    let answers = Answers {
                        name: "A \"quoted\" name \\ with é  # and this".into(),
                        columns,
                        rows,
                        panels_across: across,
                        panels_down: down,
                        strip: part.key.into(),
                        figures: if across > 1 { Figures::Imperial } else { Figures::Metric },
                        mains,
                        ..Answers::default()
                    };
                    let text = answers.text();
                    let wall = crate::read(text.as_bytes())
                        .unwrap_or_else(|wrong| panic!("{wrong:#?}\n{text}"));
                    assert_eq!(wall.name, answers.name);
                    let pixels: u32 = wall.panels.iter().map(crate::wall::Panel::pixels).sum();
                    assert_eq!(pixels, columns * rows);
                    assert_eq!(wall.power.mains.colours, mains);
                    assert_eq!(wall.power.supply.volts, wall.strip.volts);
                }
            }
        }
    }

    /// Each commented line is one that may be written.
    #[test]
    fn comments_can_be_taken_away() {
        let text = Answers::default().text();
        let bare: String = text
            .lines()
            .filter_map(|line| {
                let inner = line.strip_prefix("# ")?;
                let key = inner.split(" = ").next()?;
                let is_key = inner.contains(" = ")
                    && key.bytes().all(|b| {
                        b.is_ascii_lowercase() || b.is_ascii_digit() || b"_-".contains(&b)
                    });
                (is_key || inner.starts_with('[')).then(|| format!("{inner}\n"))
            })
            .filter(|line| {
                !line.starts_with("feeds")
                    && !line.starts_with("address")
                    && !line.starts_with("turn")
            })
            .collect();
        let tail = bare.find("[baffle]").unwrap();
        let whole = format!(
            "{}\n{}",
            text.replace("[show]\nbrightness = 0.8", "[book]\npaper = \"a4\"\n#"),
            bare[tail..].replace("saturation", "[show]\nsaturation")
        );
        let wall =
            crate::read(whole.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}\n{whole}"));
        assert!(wall.baffle.is_some() && wall.board.is_some() && wall.diffuser.is_some());
        assert!(wall.hanging.is_some() && wall.prices.is_some() && wall.stock.is_some());
        assert_eq!(wall.show.running_order.len(), 1);
    }
}
