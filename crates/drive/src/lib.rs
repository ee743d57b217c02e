//! Live output: frames to panels in step, and virtual panels that receive them.
//!
//! Rule of this room: sockets, clock, pacing, health, virtual panels. It sees a
//! [`Patch`](glowloom_wire::Patch), never a wall file or a plan.
//!
//! | module | holds |
//! | --- | --- |
//! | [`fetch`] | data and pictures from the web or a file, again and again |
//! | [`fetched`] | these as sources |
//! | [`frames`] | where frames come from |
//! | [`live`] | show's pipeline as one of them |
//! | [`player`] | a show: draws ahead, sends in time, ends as it should |
//! | [`pacer`] | when to send |
//! | [`ring`] | recycled frames between drawing and sending |
//! | [`block`] | all packets of a frame; the ceiling |
//! | [`sender`] | one frame to all panels |
//! | [`resolve`] | names of receivers to addresses |
//! | [`health`] | what became of the frames |
//! | [`neighbours`] | who says on the network that it is there |
//! | [`incoming`] | light from other senders, as a source |
//! | [`ordered`] | the running order and quiet hours by the computer's clock |
//! | [`piped`] | frames from any program through a pipe, as a source |
//! | [`record`] | what is sent, handed to somebody who keeps it |
//! | [`replay`] | what was kept, sent again |
//! | [`receive`] | a receiver in software, without a socket |
//! | [`socket`] | frames from programs and pages over a WebSocket, as a source |
//! | [`Spread`] | lengths of time, counted by size |
//! | [`timepiece`] | the computer's clock in a time zone, and a clock as a source |
//! | [`virtual_panels`] | such receivers on this computer |

mod asking;
pub mod block;
pub mod boards;
mod burst;
mod cable;
mod cables;
mod discovery;
mod easing;
mod error;
pub mod fetch;
pub mod fetched;
pub mod frames;
mod groups;
mod header;
pub mod health;
mod in_step;
pub mod incoming;
mod inquiry;
mod link;
pub mod live;
mod meter;
pub mod neighbours;
mod numbered;
mod numbering;
pub mod ordered;
pub mod pacer;
pub mod piped;
pub mod player;
pub mod receive;
pub mod record;
pub mod replay;
pub mod resolve;
pub mod ring;
pub mod sender;
mod serial;
mod settings;
mod slots;
pub mod socket;
mod spread;
pub mod supply_guard;
pub mod timepiece;
pub mod virtual_panels;

pub use easing::{Eased, Strain};
pub use error::DriveError;
pub use fetch::{Place, WebAddress};
pub use fetched::{Cover, Words};
pub use frames::{Change, FrameError, Frames};
pub use health::{Answering, Health, PanelHealth};
pub use in_step::InStep;
pub use incoming::{Incoming, IncomingHealth, Listening};
pub use inquiry::Told;
pub use live::{Live, Remote, may_dither};
pub use neighbours::{Announcement, Neighbour, Reach};
pub use numbered::Arranged;
pub use ordered::{Dimming, OrderRemote, Ordered};
pub use pacer::{FramesPerSecond, Rate, Tempo};
pub use piped::Piped;
pub use player::{Handover, Player};
pub use receive::{OnLoss, Other};
pub use record::{Recorder, Recording, RecordingHealth};
pub use replay::Replay;
pub use sender::{Calls, Sender};
pub use settings::{Multicast, Settings};
pub use spread::Spread;
pub use supply_guard::SupplyGuard;
pub use timepiece::{Timepiece, Zone};
pub use virtual_panels::{VirtualHealth, VirtualPanels, Which};
