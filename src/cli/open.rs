//! `open`: the live page.

use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::atomic::AtomicBool;

use clap::Args;
use jiff::ZonedDateTime;

use super::{Ending, next_step, print, refusal, screens};
use crate::live::{Hands, Live, OpenError};

#[derive(Debug, Args)]
pub(super) struct OpenArguments {
    /// The job file.
    job: PathBuf,
    /// Print the address only; open it in a browser of
    /// this machine yourself
    #[arg(long, verbatim_doc_comment)]
    no_browser: bool,
}

pub(super) fn open(asked: &OpenArguments) -> Result<Ending, Ending> {
    let hands =
        Hands { today: || ZonedDateTime::now().date(), quote: screens::quote, client: screens::client, why: refusal };
    let live = Live::open(&asked.job, hands).map_err(|error| {
        let next = match error {
            OpenError::Unreadable { .. } => next_step::READABLE,
            OpenError::NoPort(_) | OpenError::NoKey(_) => "try again; other programs may hold what it needs",
        };
        Ending::wrong(&error, next)
    })?;
    // Whatever is being written is put in place whole or not at all, so the page may end at any moment.
    let _ = ctrlc::set_handler(|| std::process::exit(0));
    let address = live.address().to_owned();
    let said = format!("{address}\n\nThe page is served to this machine alone, until Ctrl-C.\n");
    if !print(&said) {
        return Err(Ending::Failed { status: 2, message: String::new(), output: String::new() });
    }
    if !asked.no_browser {
        show(&address);
    }
    live.serve(&AtomicBool::new(false));
    Ok(Ending::done(String::new()))
}

/// Asks the system to show the address; where it cannot, it stands on the screen.
fn show(address: &str) {
    let (program, before): (&str, &[&str]) = match () {
        () if cfg!(target_os = "macos") => ("open", &[]),
        () if cfg!(windows) => ("cmd", &["/C", "start", ""]),
        () => ("xdg-open", &[]),
    };
    let mut browser = Command::new(program);
    browser.args(before).arg(address).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    let _ = browser.spawn();
}
