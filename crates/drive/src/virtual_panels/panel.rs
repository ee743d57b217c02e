//! What a virtual panel runs: the core of a real board, with the board's own guard; or, where the program is
//! built without it, the receiver of this room.
//!
//! Both follow the same rules of the protocols, which `receive/against_core.rs` compares packet for packet.

#[cfg(not(feature = "core"))]
pub(super) use crate::receive::Receiver as Panel;

#[cfg(feature = "core")]
pub(super) use with_core::Panel;

#[cfg(feature = "core")]
mod with_core {
    use std::net::SocketAddr;
    use std::time::Duration;

    use glowloom_core_host::{Core, CoreEvent, CoreOnLoss, CoreState};
    use glowloom_wire::e131;
    use glowloom_wire::patch::{Common, PanelPatch, Protocol};

    use crate::receive::{Counts, Event, OnLoss, Other, State};

    /// A board's core; without one where the panel has no pixels, and then nothing is ever shown.
    #[derive(Debug)]
    pub(in crate::virtual_panels) struct Panel {
        core: Option<Core>,
        protocol: Protocol,
        other: Option<Other>,
    }

    impl Panel {
        pub fn new(common: &Common, panel: &PanelPatch, on_loss: OnLoss) -> Self {
            let on_loss = match on_loss {
                OnLoss::Black => CoreOnLoss::Black,
                OnLoss::Keep => CoreOnLoss::Keep,
                OnLoss::Glow => CoreOnLoss::Glow,
            };
            let core = Core::new(common, panel, on_loss);
            Self { core, protocol: common.protocol, other: None }
        }

        pub fn packet(&mut self, now: Duration, from: SocketAddr, bytes: &[u8]) -> Event {
            let Some(core) = &mut self.core else { return Event::Nothing };
            let strangers = core.counts().strangers;
            let event = event(core.packet(now, from, bytes));
            if core.counts().strangers > strangers {
                self.other = Some(Other { from, named: named(self.protocol, bytes), at: now });
            }
            event
        }

        pub fn wait(&mut self, now: Duration) -> Event {
            self.core.as_mut().map_or(Event::Nothing, |core| event(core.wait(now)))
        }

        pub fn state(&self) -> State {
            match self.core.as_ref().map(Core::state) {
                None | Some(CoreState::Waiting) => State::Waiting,
                Some(CoreState::Live) => State::Live,
                Some(CoreState::Lost) => State::Lost,
            }
        }

        pub fn from(&self) -> Option<SocketAddr> {
            self.core.as_ref().and_then(Core::from)
        }

        pub fn other(&self) -> Option<Other> {
            self.other
        }

        pub fn counts(&self) -> Counts {
            let counts = self.core.as_ref().map(Core::counts).unwrap_or_default();
            Counts {
                packets: counts.packets,
                lost: counts.lost,
                late: counts.late,
                wrong: counts.wrong,
                ignored: counts.ignored,
                strangers: counts.strangers,
                shown: counts.shown,
            }
        }

        pub fn draw(&self, picture: &mut [u8]) {
            if let Some(core) = &self.core {
                core.draw(picture);
            }
        }
    }

    /// What a packet of another sender says of it.
    fn named(protocol: Protocol, bytes: &[u8]) -> Option<(e131::SourceName, e131::Priority)> {
        match (protocol, e131::Any::parse(bytes)) {
            (Protocol::E131, Ok(e131::Any::Data(data))) => {
                Some((data.header.source, data.header.priority))
            }
            _ => None,
        }
    }

    const fn event(event: CoreEvent) -> Event {
        match event {
            CoreEvent::Nothing => Event::Nothing,
            CoreEvent::Drawn => Event::Drawn,
            CoreEvent::Shown { frames } => Event::Shown { frames },
            CoreEvent::Lost => Event::Lost,
        }
    }
}
