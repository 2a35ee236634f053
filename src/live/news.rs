//! [`News`]: what pages are told as it happens.

use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Mutex, PoisonError};

/// Pages that are told at one time; where there are more, the oldest hears no more.
const MOST_PAGES: usize = 24;
/// Events that wait for a slow page; one that is slower comes to hear of them again anyway.
const WAITING: usize = 64;

/// Who listens.
#[derive(Debug, Default)]
pub(crate) struct News(Mutex<Vec<SyncSender<String>>>);

impl News {
    pub(crate) fn listen(&self) -> Receiver<String> {
        let (tell, told) = sync_channel(WAITING);
        let _ = tell.try_send("retry: 1000\n\n".to_owned());
        let mut pages = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if pages.len() >= MOST_PAGES {
            pages.remove(0);
        }
        pages.push(tell);
        told
    }

    /// Tells every page that something of this name happened: it asks for what it shows of it. `of` is the mark of the
    /// files it is about.
    pub(crate) fn tell(&self, what: &str, of: &str) {
        let mut pages = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let event = format!("event: {what}\ndata: {of}\n\n");
        pages.retain(|page| {
            // A full queue holds the same event already.
            !matches!(page.try_send(event.clone()), Err(std::sync::mpsc::TrySendError::Disconnected(_)))
        });
    }
}
