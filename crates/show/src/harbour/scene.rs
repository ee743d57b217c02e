//! What there is in the harbour, and the light at each point of it.

use std::f32::consts::TAU;

use super::shapes::{Point, apart, in_box, in_convex, to_line};
use crate::made::ramp::{Ramp, Rgb, mix, rgb, smooth};

/// Where the water begins, in heights from the top.
const SHORE: f32 = 0.593_75;
/// The face of the quay in front of the café, and its right end.
const QUAY_TOP: f32 = 0.5625;
const QUAY_FOOT: f32 = 0.656_25;
const QUAY_END: f32 = 0.86;
/// The moon.
const MOON: Point = (1.33, 0.20);
const MOON_RADIUS: f32 = 0.082;
/// The windows of the café: left edges, and their common height and width.
const WINDOWS: [f32; 3] = [0.093_75, 0.281_25, 0.625];
const WINDOW_TOP: f32 = 0.343_75;
const WINDOW_FOOT: f32 = 0.468_75;
const WINDOW_WIDTH: f32 = 0.125;
/// The door between them.
const DOOR: (Point, Point) = ((0.468_75, 0.375), (0.5625, QUAY_TOP));

/// A boat at its mooring: middle of the hull at the water line, half its length, colours.
struct Boat {
    at: Point,
    half: f32,
    hull: u32,
    stripe: u32,
    mast: f32,
}

const BOATS: [Boat; 2] = [
    Boat { at: (1.08, 0.72), half: 0.18, hull: 0x16_1C_34, stripe: 0xC8_3A_2E, mast: 0.40 },
    Boat { at: (1.64, 0.685), half: 0.15, hull: 0x1C_26_3C, stripe: 0x2C_9A_94, mast: 0.31 },
];

/// The harbour at one moment.
pub(super) struct Scene {
    /// The moment, as an angle: all movement comes round with it.
    turn: f32,
    sky: Ramp<5>,
    water: Ramp<4>,
    moon: Rgb,
    warm: Rgb,
    lamp: Rgb,
}

impl Scene {
    /// The harbour at a moment of its round, 0 to 1.
    pub(super) fn at(moment: f32) -> Self {
        Self {
            turn: moment * TAU,
            sky: Ramp::new([0x12_16_40, 0x2C_26_62, 0x6A_3A_78, 0xC8_5E_62, 0xF6_9A_50]),
            water: Ramp::new([0xD0_78_58, 0x54_3C_74, 0x1E_2A_5C, 0x0A_12_34]),
            moon: rgb(0xFF_F4_D6),
            warm: rgb(0xFF_B0_3C),
            lamp: rgb(0xFF_D8_88),
        }
    }

    /// Linear light at a point: x from the left, y from the top, in heights of the picture.
    pub(super) fn light(&self, x: f32, y: f32) -> Rgb {
        let point = (x, y);
        let base = if y < SHORE { self.above(point) } else { self.on_water(point) };
        let base = self.boats(point, base);
        self.lamp_post(point, self.quay(point, base))
    }

    /// Sky, moon and the hills behind the bay.
    fn above(&self, point: Point) -> Rgb {
        let (x, y) = point;
        let hills = 0.53 - 0.045 * (x * 2.1 + 0.6).sin() - 0.02 * (x * 5.3).sin();
        if y > hills {
            return mix(rgb(0x3A_24_56), rgb(0x8A_48_62), smooth(hills, SHORE, y) * 0.5);
        }
        let sky = self.sky.at(y / 0.58);
        let away = apart(point, MOON);
        if away > 0.6 {
            return sky;
        }
        let halo = (-(away / 0.17).powi(2)).exp() * 0.07 + (-(away / 0.105).powi(2)).exp() * 0.13;
        if away < MOON_RADIUS {
            let shade = 0.86 + 0.14 * smooth(-0.06, 0.06, (x - MOON.0) - (y - MOON.1));
            return self.moon.map(|value| value * shade);
        }
        mix(sky, self.moon, halo)
    }

    /// The water with what it mirrors.
    fn on_water(&self, (x, y): Point) -> Rgb {
        let depth = y - SHORE;
        // Waves look longer and wider apart the nearer they are.
        let far = depth / (depth + 0.22);
        let wave =
            (far * 64.0 + x * 2.0 - self.turn).sin() + (far * 41.0 - x * 3.1 + self.turn).sin();
        let water = self.water.at(depth * 2.6 + 0.03 * wave);
        let glint = smooth(0.7, 1.7, wave);
        let mut light = water.map(|value| value * (1.0 + 0.35 * glint));
        let path = (x - MOON.0 + 0.012 * wave) / (0.05 + 0.13 * depth);
        let path = (-path * path).exp() * (0.30 + 0.70 * smooth(-0.4, 1.1, wave));
        light = mix(light, self.moon, 0.85 * path);
        for left in WINDOWS {
            let streak = (x - left - WINDOW_WIDTH / 2.0 + 0.010 * wave) / 0.055;
            let fade = (-depth * 4.6).exp();
            let share = (-streak * streak).exp() * fade * (0.45 + 0.4 * smooth(-1.2, 1.0, wave));
            light = mix(light, self.warm, share);
        }
        light
    }

    fn boats(&self, point: Point, base: Rgb) -> Rgb {
        BOATS.iter().fold(base, |base, boat| {
            let rock = 0.006 * (self.turn + boat.at.0 * 4.0).sin();
            boat.draw((point.0, point.1 - rock), self.turn, base)
        })
    }

    /// The café on its quay.
    fn quay(&self, point: Point, base: Rgb) -> Rgb {
        let (x, y) = point;
        let wall = rgb(0x2A_20_40);
        if in_box(point, (-1.0, QUAY_TOP), (QUAY_END, QUAY_FOOT)) {
            let edge = y < QUAY_TOP + 0.022;
            return if edge { rgb(0x6E_4A_54) } else { rgb(0x1C_1A_30) };
        }
        let roof = [(0.02, 0.25), (0.11, 0.125), (0.70, 0.125), (0.79, 0.25)];
        if in_convex(point, &roof) || in_box(point, (0.593_75, 0.0625), (0.656_25, 0.14)) {
            return rgb(0x16_12_2A);
        }
        if !in_box(point, (0.0625, 0.245), (0.75, QUAY_TOP)) {
            return base;
        }
        // An awning in stripes above the windows.
        if in_box(point, (0.0625, 0.25), (0.75, 0.3125)) {
            let stripe = ((x / 0.0625).floor() as i32).rem_euclid(2) == 0;
            let droop = 0.3125 - 0.014 * (x / 0.0625 * TAU).sin().abs();
            if y < droop {
                return if stripe { rgb(0xB0_30_34) } else { rgb(0xD8_C0_9A) };
            }
        }
        let (door_from, door_to) = DOOR;
        if in_box(point, door_from, door_to) {
            return mix(self.warm, self.lamp, smooth(0.42, 0.56, y)).map(|value| value * 0.75);
        }
        for left in WINDOWS {
            if in_box(point, (left, WINDOW_TOP), (left + WINDOW_WIDTH, WINDOW_FOOT)) {
                let bar = (x - left - WINDOW_WIDTH / 2.0).abs() < 0.006;
                let glow = mix(self.lamp, self.warm, smooth(WINDOW_TOP, WINDOW_FOOT, y));
                return if bar { glow.map(|value| value * 0.3) } else { glow };
            }
        }
        // Warm light spills over the wall around the windows.
        let near = WINDOWS
            .iter()
            .map(|left| apart(point, (left + WINDOW_WIDTH / 2.0, 0.42)))
            .fold(f32::MAX, f32::min);
        mix(wall, self.warm, 0.22 * smooth(0.20, 0.06, near))
    }

    /// A lamp on a post at the end of the quay.
    fn lamp_post(&self, point: Point, base: Rgb) -> Rgb {
        let post = (QUAY_END - 0.03, 0.30);
        let mut light = base;
        if to_line(point, post, (post.0, QUAY_TOP)) < 0.008 {
            light = rgb(0x14_12_26);
        }
        let lamp = apart(point, post);
        if lamp > 0.3 {
            return light;
        }
        let breath = 1.0 + 0.06 * self.turn.sin();
        light = mix(light, self.lamp, 0.35 * breath * (-(lamp / 0.075).powi(2)).exp());
        if lamp < 0.026 { self.lamp } else { light }
    }
}

impl Boat {
    fn draw(&self, point: Point, turn: f32, base: Rgb) -> Rgb {
        let (x, y) = self.at;
        let half = self.half;
        let around = ((x - 1.2 * half, y - self.mast - 0.02), (x + 1.2 * half, y + 0.6 * half));
        if !in_box(point, around.0, around.1) {
            return base;
        }
        let deck = y - 0.36 * half;
        let hull = [
            (x - half, deck),
            (x + half * 1.08, deck - 0.06 * half),
            (x + half * 0.74, y),
            (x - half * 0.80, y),
        ];
        if in_convex(point, &hull) {
            let striped = point.1 < deck + 0.13 * half;
            return rgb(if striped { self.stripe } else { self.hull });
        }
        let cabin = (x - 0.52 * half, deck - 0.30 * half);
        if in_box(point, cabin, (x + 0.05 * half, deck)) {
            let window = in_box(
                point,
                (cabin.0 + 0.10 * half, cabin.1 + 0.07 * half),
                (x - 0.06 * half, deck - 0.06 * half),
            );
            return rgb(if window { 0xFF_C0_60 } else { 0x2C_2A_44 });
        }
        let mast = x + 0.22 * half;
        let top = (mast, y - self.mast);
        let lamp = apart(point, top);
        if lamp < 0.018 {
            return rgb(0xFF_D8_88);
        }
        if to_line(point, top, (mast, deck)) < 0.008 {
            return rgb(0x18_16_2C);
        }
        let stays = [(x - half, deck), (x + half * 1.05, deck)];
        if stays.iter().any(|&end| to_line(point, top, end) < 0.0025) {
            return mix(base, rgb(0x18_16_2C), 0.7);
        }
        // A furled sail on its boom.
        let boom = deck - 0.20 * half;
        if to_line(point, (mast, boom - 0.01), (x - 0.75 * half, boom)) < 0.012 {
            return rgb(0xB8_A8_A0);
        }
        // The dark mirror of the hull on the water.
        let below = (point.1 - y) / (half * 0.55);
        let along = (point.0 - x + 0.008 * (point.1 * 120.0 - turn).sin()) / (half * 0.86);
        let shade = if below > 0.0 { 0.62 * smooth(1.0, 0.1, below) } else { 0.0 };
        mix(base, rgb(self.hull), shade * smooth(1.0, 0.75, along.abs()))
    }
}
