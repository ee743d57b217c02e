//! For tests: a wall and its journal in memory.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex};

use crate::home::{Home, Saved, Show, Trouble};

/// A home without a disk.
#[derive(Default)]
pub struct Memory {
    wall: Mutex<String>,
    next: Mutex<Option<String>>,
    journal: Mutex<Option<Vec<u8>>>,
    secrets: AtomicU64,
    show: Mutex<Option<Arc<dyn Show>>>,
}

impl Memory {
    /// With that wall file.
    pub fn new(wall: &str) -> Self {
        Self { wall: Mutex::new(wall.into()), ..Self::default() }
    }

    /// The file as it is.
    pub fn text(&self) -> String {
        self.wall.lock().unwrap().clone()
    }

    /// Another program writes the file.
    pub fn put(&self, text: &str) {
        *self.wall.lock().unwrap() = text.into();
    }

    /// Another program writes it between reading and saving.
    pub fn change_before_next_save(&self, text: &str) {
        *self.next.lock().unwrap() = Some(text.into());
    }
}

impl Home for Memory {
    fn name(&self) -> String {
        "tidewall.toml".into()
    }

    fn begin(&self, _: &[u8]) -> Result<(), Trouble> {
        Err(Trouble::new("there is a file", "change it"))
    }

    fn wall(&self) -> Result<Vec<u8>, Trouble> {
        Ok(self.text().into_bytes())
    }

    fn save_wall(&self, before: &[u8], now: &[u8]) -> Result<Saved, Trouble> {
        let next = self.next.lock().unwrap().take();
        if let Some(next) = next {
            self.put(&next);
        }
        if self.text().as_bytes() != before {
            return Ok(Saved::Changed(self.text().into_bytes()));
        }
        self.put(std::str::from_utf8(now).unwrap());
        Ok(Saved::Written)
    }

    fn journal(&self) -> Result<Option<Vec<u8>>, Trouble> {
        Ok(self.journal.lock().unwrap().clone())
    }

    fn save_journal(&self, text: &[u8]) -> Result<(), Trouble> {
        *self.journal.lock().unwrap() = Some(text.into());
        Ok(())
    }

    fn secret(&self) -> String {
        format!("secret{}", self.secrets.fetch_add(1, Ordering::Relaxed))
    }

    fn show(&self) -> Option<Arc<dyn Show>> {
        self.show.lock().unwrap().clone()
    }
}
