//! The live picture over a WebSocket: a frame of sRGB bytes for each that the panels show, and once a
//! second how it goes.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::ws::{Message, WebSocket};
use tokio::sync::OwnedSemaphorePermit;
use tokio::time::{MissedTickBehavior, interval, timeout};

use crate::home::Show;
use crate::server::Site;

/// Between two looks at the panels: thirty a second.
const LOOK: Duration = Duration::from_millis(33);
/// A browser that takes a message no faster than this is let go.
const PATIENCE: Duration = Duration::from_secs(10);
/// Looks between two tellings of how it goes.
const TELL: u32 = 30;

/// Sends until the browser goes, the show ends or the server does.
pub async fn send(
    mut socket: WebSocket,
    show: Arc<dyn Show>,
    site: Arc<Site>,
    _place: OwnedSemaphorePermit,
) {
    let mut ending = site.ending.clone();
    let mut clock = interval(LOOK);
    clock.set_missed_tick_behavior(MissedTickBehavior::Skip);
    let (mut colours, mut last, mut looks) = (Vec::new(), None, 0_u32);
    loop {
        tokio::select! {
            _ = clock.tick() => {}
            _ = ending.wait_for(|end| *end) => break,
            came = socket.recv() => match came {
                // Nothing is wanted of it but that it stays.
                Some(Ok(Message::Ping(_) | Message::Pong(_))) => continue,
                _ => break,
            },
        }
        let number = show.picture(&mut colours);
        if last != Some(number) {
            last = Some(number);
            let bytes: Vec<u8> = colours.iter().flatten().copied().collect();
            if !sent(&mut socket, Message::Binary(bytes.into())).await {
                return;
            }
        }
        if looks.is_multiple_of(TELL) {
            let text = serde_json::to_string(&show.state()).unwrap_or_default();
            if !sent(&mut socket, Message::Text(text.into())).await {
                return;
            }
        }
        looks = looks.wrapping_add(1);
    }
    let _ = timeout(Duration::from_secs(1), socket.send(Message::Close(None))).await;
}

async fn sent(socket: &mut WebSocket, message: Message) -> bool {
    matches!(timeout(PATIENCE, socket.send(message)).await, Ok(Ok(())))
}
