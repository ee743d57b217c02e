//! The table of what the eye sees.

use glowloom_plan::Plan;

use super::percent;
use super::schedule::Schedule;
use crate::opened::Opened;

pub fn optics(opened: &Opened, plan: &Plan) -> String {
    let figures = opened.wall.figures;
    let optics = &plan.optics;
    let mut table = Schedule::new("Seen");
    let merge = "cells merge from here on: one minute of arc";
    table.quantity("distance", &optics.merge_distance_m.shown(figures), merge);
    let habit = "by the rule of thumb, 1,000 times the pitch (common practice, no source)";
    table.quantity("", &optics.rule_of_thumb_m.shown(figures), habit);
    let bright = format!(
        "full white at the ceiling of {} %, from {} a pixel{}",
        percent(optics.ceiling),
        optics.pixel_candela,
        if opened.wall.strip.candela.is_some() { "" } else { " (from memory; measure yours)" }
    );
    table.quantity("brightness", &optics.brightness_cd_m2.to_string(), &bright);
    if let Some(even) = optics.cell_edge_to_centre {
        table.row("evenness", &percent(even), "%", "of a cell's light at its edge");
    }
    if let Some(wanted) = optics.wanted_evenness.filter(|_| optics.cell_edge_to_centre.is_some()) {
        let wanted = percent(wanted);
        match optics.depth_for_evenness_m {
            Some(depth) => {
                let words = format!("depth that gives {wanted} %");
                table.quantity("", &depth.shown(figures), &words);
            }
            None => table.row("", "none", "", &format!("no depth gives {wanted} %")),
        }
    }
    let letters = format!(
        "of {} characters; letters of 5 x 7 dots, {} to a dot, at least {} high",
        optics.text_columns,
        if optics.text_dot_pixels == 1 {
            "1 pixel".to_owned()
        } else {
            format!("{0} x {0} pixels", optics.text_dot_pixels)
        },
        optics.letter_height_m.shown(figures)
    );
    table.row("text", &optics.text_rows.to_string(), "lines", &letters);
    table.text()
}
