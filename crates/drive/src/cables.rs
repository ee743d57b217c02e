//! Which panels hang on which serial cable, and where each lies in the cable's bytes.
//!
//! Whoever is at the other end of a cable has one buffer for all of its panels: theirs follow each
//! other in the order of the patch, and one packet, the last of them all, shows the frame.

use glowloom_wire::patch::{Address, Common};
use glowloom_wire::{Carrier, ColourBits, Patch};

use crate::DriveError;
use crate::cable::PortName;

/// One cable of a wall.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Wired {
    pub port: PortName,
    pub bits: ColourBits,
    /// Panels by their place in the patch, and where the bytes of each begin.
    pub panels: Vec<(usize, u32)>,
}

/// All cables of a wall.
///
/// # Errors
/// [`DriveError::NoPort`] where a panel's port is not named; [`DriveError::TwoWays`] where panels on
/// one port want other speeds or colour bits; [`DriveError::Layout`] where there are too many bytes.
pub(crate) fn of(patch: &Patch) -> Result<Vec<Wired>, DriveError> {
    let mut cables: Vec<(Wired, usize)> = Vec::new();
    for (index, panel) in patch.panels().iter().enumerate() {
        let Address::Serial { port, baud, bits } = &panel.address else { continue };
        let name = || panel.name.clone();
        let Some(path) = port.clone() else { return Err(DriveError::NoPort { panel: name() }) };
        let port = PortName { path, baud: *baud };
        let found = cables.iter().position(|(cable, _)| cable.port.path == port.path);
        let at = found.unwrap_or(cables.len());
        if found.is_none() {
            cables.push((Wired { port: port.clone(), bits: *bits, panels: Vec::new() }, 0));
        }
        let (cable, end) = &mut cables[at];
        if (&cable.port, cable.bits) != (&port, *bits) {
            return Err(DriveError::TwoWays { panel: name(), port: port.path });
        }
        let start = u32::try_from(*end).map_err(|_| DriveError::Layout {
            panel: name(),
            reason: "a cable's panels take more than 4 GB; use more cables".into(),
        })?;
        cable.panels.push((index, start));
        *end += bytes_of(patch.common(), panel, Carrier::Serial(*bits));
    }
    Ok(cables.into_iter().map(|(cable, _)| cable).collect())
}

/// The bytes of a panel on a cable, up to the end of its last line.
fn bytes_of(common: &Common, panel: &glowloom_wire::patch::PanelPatch, carrier: Carrier) -> usize {
    let ends = panel.lines.iter().map(|line| {
        carrier.offset(common.channels, line.byte_offset as usize)
            + line.pixels.len() * carrier.pixel(common.channels)
    });
    ends.max().unwrap_or(0)
}

/// What carries the frames of a panel.
pub(crate) const fn carrier(common: &Common, address: &Address) -> Carrier {
    match address {
        Address::Serial { bits, .. } => Carrier::Serial(*bits),
        Address::Udp { .. } | Address::Virtual { .. } => Carrier::Udp(common.protocol),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_wire::patch::{Channels, Line, PanelPatch, Protocol};

    fn patch(addresses: &[Address]) -> Patch {
        let common = Common {
            columns: 100,
            rows: 1,
            channels: Channels::Three,
            protocol: Protocol::Ddp,
            ceiling: 255,
            sync_universe: 0,
        };
        let panels = addresses.iter().zip(0..).map(|(address, nth): (_, u32)| PanelPatch {
            name: format!("p{nth}"),
            address: address.clone(),
            lines: vec![Line {
                first_universe: 1 + nth as u16,
                byte_offset: 0,
                pixels: (0..10 + nth).map(|n| Some(nth * 20 + n)).collect(),
            }],
        });
        Patch::new(common, panels.collect()).unwrap()
    }

    fn serial(port: &str, baud: u32, bits: ColourBits) -> Address {
        Address::Serial { port: Some(port.into()), baud, bits }
    }

    #[test]
    fn panels_of_a_cable_follow_each_other() {
        let sixteen = ColourBits::Sixteen;
        let found = of(&patch(&[
            serial("a", 9600, sixteen),
            Address::Virtual { port: 7 },
            serial("b", 115_200, ColourBits::TwentyFour),
            serial("a", 9600, sixteen),
            serial("b", 115_200, ColourBits::TwentyFour),
        ]))
        .unwrap();
        let port = |path: &str, baud| PortName { path: path.into(), baud };
        let wanted = [
            // Ten pixels of two bytes before; twelve of three.
            Wired { port: port("a", 9600), bits: sixteen, panels: vec![(0, 0), (3, 20)] },
            Wired {
                port: port("b", 115_200),
                bits: ColourBits::TwentyFour,
                panels: vec![(2, 0), (4, 36)],
            },
        ];
        assert_eq!(found, wanted);
    }

    #[test]
    fn what_cannot_share_a_cable_is_refused() {
        let a = || serial("a", 9600, ColourBits::Sixteen);
        for other in
            [serial("a", 19_200, ColourBits::Sixteen), serial("a", 9600, ColourBits::TwentyFour)]
        {
            let refused = of(&patch(&[a(), other]));
            assert!(matches!(&refused, Err(DriveError::TwoWays { panel, .. }) if panel == "p1"));
        }
        let unnamed = Address::Serial { port: None, baud: 9600, bits: ColourBits::Sixteen };
        assert!(matches!(of(&patch(&[a(), unnamed])), Err(DriveError::NoPort { .. })));
    }
}
