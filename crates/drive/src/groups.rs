//! The multicast groups of a panel (ANSI E1.31).

use std::net::Ipv4Addr;

use glowloom_wire::e131::Universe;
use glowloom_wire::patch::{Common, PanelPatch};

/// The group of each packet of a panel, in their order: that of its universe.
pub(crate) fn multicast_groups(common: &Common, panel: &PanelPatch) -> Vec<Ipv4Addr> {
    let universes = panel.universes(common.channels);
    universes.filter_map(|number| Universe::new(number).ok()).map(Universe::multicast).collect()
}
