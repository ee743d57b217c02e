//! What the strip's light is like, what is white, and how much of its light each panel keeps.

use glowloom_units::Chromaticity;

use super::{Wrong, or};
use crate::diagnostic::code;
use crate::text::{self, Written};
use crate::wall::Light;

/// Of the strip.
pub fn light(section: &text::Strip, wrong: &mut Wrong) -> Light {
    let primaries = match &section.primaries {
        Some(written) => three(&written.value).unwrap_or(Chromaticity::SRGB),
        None => Chromaticity::SRGB,
    };
    let white_point = or(section.white_point.as_ref(), Chromaticity::D65);
    if !white_point.is_mixed_of(primaries) {
        let written = section.white_point.as_ref().map(|w| &w.span);
        let span = written.or(section.primaries.as_ref().map(|w| &w.span));
        not_mixed(white_point, "the strip's red, green and blue", span, wrong);
    }
    Light {
        primaries,
        white_point,
        gamma: or(section.gamma.as_ref(), 1.0),
        white_light: section
            .white_light
            .as_ref()
            .and_then(|written| three(&written.value))
            .unwrap_or([1.0; 3]),
    }
}

/// What is white in pictures, which are sRGB.
pub fn white_point(written: Option<&Written<Chromaticity>>, wrong: &mut Wrong) -> Chromaticity {
    let white_point = or(written, Chromaticity::D65);
    if !white_point.is_mixed_of(Chromaticity::SRGB) {
        not_mixed(white_point, "the colours of pictures", written.map(|w| &w.span), wrong);
    }
    white_point
}

/// Shares of red, green, blue and white: the panel's own before those of all panels.
pub fn shares(own: &text::PanelShape, all: &text::PanelShape) -> [f64; 4] {
    let whole = own.brightness.as_ref().or(all.brightness.as_ref()).map_or(1.0, |w| w.value);
    let each = own.balance.as_ref().or(all.balance.as_ref());
    [0, 1, 2, 3].map(|i| whole * each.and_then(|w| w.value.get(i)).map_or(1.0, |w| w.value))
}

fn three<T: Copy>(list: &[Written<T>]) -> Option<[T; 3]> {
    match list {
        [a, b, c] => Some([a.value, b.value, c.value]),
        _ => None,
    }
}

fn not_mixed(
    white: Chromaticity,
    of: &str,
    span: Option<&std::ops::Range<usize>>,
    wrong: &mut Wrong,
) {
    wrong.add(
        code::WHITE_OUTSIDE,
        span.cloned().unwrap_or_default(),
        format!("no white of x {} and y {} can be mixed of {of}", white.x(), white.y()),
        "wanted: a white inside their triangle",
        "write a white between them, such as [0.3127, 0.329], or read the meter again",
    );
}
