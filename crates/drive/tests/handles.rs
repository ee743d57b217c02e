//! A computer that has no file handles left: nothing breaks, it is told, and when there are some again the
//! panels are lit. A process of its own, for the limit holds for all of it.
#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

mod support;

use std::sync::Arc;

use glowloom_drive::{OnLoss, Player};
use glowloom_wire::patch::Protocol;
use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
use support::{Numbered, Wall, settings, until};

#[test]
fn handles_that_run_out_are_told_and_survived() {
    let (patch, panels) = Wall::new(Protocol::Ddp).open(OnLoss::Black);
    let before = getrlimit(Resource::Nofile);
    // Below what is open already: no more can be opened.
    setrlimit(Resource::Nofile, Rlimit { current: Some(3), ..before }).unwrap();
    let source = Numbered::new(&patch);
    let player = Player::start(Arc::new(patch), settings(60.0), source).unwrap();
    until("it is told", || {
        let all = player.health().panels;
        all.iter().all(|panel| {
            panel.failing && panel.error.as_ref().is_some_and(|e| e.contains("open files"))
        })
    });
    let sent = player.health().sent;
    until("the clock runs on", || player.health().sent > sent + 30);
    setrlimit(Resource::Nofile, before).unwrap();
    until("all are lit", || panels.health().iter().all(|panel| panel.counts.shown > 5));
    until("all are asked", || player.health().panels.iter().all(|panel| panel.told.is_some()));
    assert!(player.health().panels.iter().all(|panel| !panel.failing));
}
