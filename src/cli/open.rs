//! `open`: the live page.

use std::net::Ipv4Addr;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::atomic::AtomicBool;

use clap::Args;
use jiff::ZonedDateTime;

use super::{Ending, next_step, print, refusal, screens};
use crate::live::{Hands, Live, Network, OpenError, code_in_letters};

#[derive(Debug, Args)]
pub(super) struct OpenArguments {
    /// The job file.
    job: PathBuf,
    /// Print the address only; open it in a browser of
    /// this machine yourself
    #[arg(long, verbatim_doc_comment)]
    no_browser: bool,
    /// Let phones and tablets of your own network in, each
    /// after you said so on the page; ADDRESS is this
    /// machine's in that network, where it has several
    #[arg(long, value_name = "ADDRESS", num_args = 0..=1, require_equals = true, verbatim_doc_comment)]
    lan: Option<Option<Ipv4Addr>>,
}

pub(super) fn open(asked: &OpenArguments) -> Result<Ending, Ending> {
    let hands =
        Hands { today: || ZonedDateTime::now().date(), quote: screens::quote, client: screens::client, why: refusal };
    let network = match asked.lan {
        None => Network::None,
        Some(None) => Network::Own,
        Some(Some(address)) => Network::At(address),
    };
    let live = Live::open_to(&asked.job, hands, network).map_err(|error| {
        let next = match error {
            OpenError::Unreadable { .. } => next_step::READABLE,
            OpenError::NoPort(_) | OpenError::NoKey(_) => "try again; other programs may hold what it needs",
            OpenError::NoNetwork => {
                "connect it to the network of the shop, or say by which address it is in it: `--lan=192.168.1.20`"
            }
            OpenError::NotOwn(_) => "take the machine's address in the shop's own network, such as 192.168.1.20",
            OpenError::NoDoor(..) => "take an address that this machine has in the network",
        };
        Ending::wrong(&error, next)
    })?;
    // Whatever is being written is put in place whole or not at all, so the page may end at any moment.
    let _ = ctrlc::set_handler(|| std::process::exit(0));
    let address = live.address().to_owned();
    let said = match live.door() {
        None => format!("{address}\n\nThe page is served to this machine alone, until Ctrl-C.\n"),
        Some(door) => format!(
            "{address}\n\nA phone or tablet in this network opens this address, and you let it in on the page:\n\n\
             {door}\n\n{}\nWhat goes to it is not encrypted: do it in a network of your own. The pages are\nserved \
             until Ctrl-C.\n",
            code_in_letters(&door)
        ),
    };
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
