//! Once it runs, sending takes no memory. The counting allocator is that of `allocation-counter`,
//! which counts for the thread that asks.

mod support;

use std::time::Duration;

use glowloom_drive::ring::Ring;
use glowloom_drive::{Calls, OnLoss, Sender};
use support::{ALL, Wall, picture, settings};

#[test]
fn a_hundred_frames_take_no_memory() {
    for protocol in ALL {
        for calls in [Calls::Many, Calls::One] {
            let (patch, panels) = Wall::new(protocol).open(OnLoss::Black);
            let mut sender = Sender::new(&patch, &settings(30.0), calls).unwrap();
            let frame = picture(&patch, 1);
            let ring = Ring::new(2, patch.frame_bytes());
            let mut send = |tick: u64| {
                let mut drawn = ring.take(tick).unwrap();
                drawn.bytes.copy_from_slice(&frame);
                ring.put(drawn);
                let drawn = ring.latest(tick).unwrap();
                sender.draw(&drawn.bytes).unwrap();
                ring.give_back(drawn);
                sender.send(Duration::from_millis(tick));
            };
            // The first frame opens the sockets.
            send(0);
            let counted = allocation_counter::measure(|| (1..=100).for_each(&mut send));
            assert_eq!(counted.count_total, 0, "{protocol:?} {calls:?}");
            assert!(sender.panels().iter().all(|panel| panel.sent == 101), "{protocol:?}");
            drop(panels);
        }
    }
}

/// Without which the test above could not fail.
#[test]
fn the_counter_counts() {
    let counted = allocation_counter::measure(|| drop(std::hint::black_box(vec![0u8; 100])));
    assert_eq!(counted.count_total, 1);
}
