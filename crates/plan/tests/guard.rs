//! The guard's rows as they are handed on with the patch.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use glowloom_plan::{guard, patch, plan};

/// Full white scaled by the rows is as bright as the plan calls safe, and never brighter.
#[test]
fn full_white_is_held_to_the_safe_brightness() {
    for limit in ["4.0", "4.5", "4.7"] {
        let text = support::tidewall() + &format!("least_volts = {limit}\n");
        let wall = support::read(&text);
        let guarded = patch(&wall).unwrap().with_guard(guard(&wall).unwrap()).unwrap();
        let rows = guarded.guard().unwrap();
        assert_eq!(rows.panels(), 3);
        let white = vec![3.0; 640];
        let share = (0..3)
            .flat_map(|panel| rows.rows(panel))
            .map(|row| row.share(&white))
            .fold(1.0, f64::min);
        let circuit = rows.all() / (1920.0 * 3.0);
        let (share, safe) = (share.min(circuit), plan(&wall).power.highest_safe_brightness);
        assert!(share <= safe && share > 0.98 * safe, "{limit}: {share} of {safe}");
        assert!(rows.rows(0).iter().any(|row| row.about.starts_with("volts of strip 1, pixel")));
        assert_eq!(rows.rows(0), rows.rows(2));
        assert!(rows.rows(3).is_empty());
    }
}

/// Rows for other panels than the patch has are refused.
#[test]
fn a_guard_of_another_wall() {
    let wall = support::read(&support::tidewall());
    let one = support::read(&support::one(4, 4, "ws2812b-30", "", ""));
    assert!(patch(&wall).unwrap().with_guard(guard(&one).unwrap()).is_err());
    assert!(patch(&one).unwrap().with_guard(guard(&wall).unwrap()).is_err());
}
