//! The live page: a job's files served to a browser on the same machine, where its doors are drawn as they are changed.
//!
//! The text files stay the truth. What is changed on the page is written into the job file, comments and order kept; what
//! is changed in a text editor shows on the page. Every figure comes from the functions that the commands use, and the
//! script on the page computes nothing: it puts in place what it is sent.
//!
//! A [`Live`] listens on the loopback address. [`serve`](Live::serve) answers until the program ends: each request has to
//! carry the token of its address, the host it was printed with, and come from the page itself. Where it is asked to, it
//! listens in the shop's own network too, on a port of its own, for devices that the maker lets in one by one. This room
//! waits by the clock and has threads of its own; no figure depends on either.

mod address;
mod alternative;
mod card;
mod cure;
mod devices;
mod drawing;
mod edit;
mod fields;
mod floor;
mod freeze;
mod guard;
mod http;
mod lan_page;
mod news;
mod others;
mod page;
mod plans;
mod routes;
mod rows;
mod saw;
mod saw_page;
mod session;
mod shop_fields;
mod shop_page;
mod spans;
mod yard;
mod yard_page;

use std::io;
use std::net::{Ipv4Addr, TcpListener};
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use jiff::civil::Date;
use thiserror::Error;

use self::devices::{Lan, is_own, own_address};
use self::guard::{Guard, random_word};
use self::news::News;
use self::plans::{Planned, Planner, whole};
use self::session::{Laid, Session};
use crate::bill::OfferHead;
use crate::job::Job;
use crate::packing::Flow;
use crate::plan::{CannotPlan, Plan};

/// How often the files are looked at for changes made elsewhere.
const LOOK_EVERY: Duration = Duration::from_millis(250);

/// What the page needs of the command: its words for a quote and a refusal, and the day.
#[derive(Debug, Clone, Copy)]
pub struct Hands {
    /// Today, where the shop is.
    pub today: fn() -> Date,
    /// The maker's quote, as printed.
    pub quote: fn(&Job, &Plan, Option<OfferHead>) -> String,
    /// The client's quote, as printed.
    pub client: fn(&Job, &Plan, Option<OfferHead>) -> String,
    /// Why a job cannot be planned.
    pub why: fn(&Job, &CannotPlan) -> String,
}

/// Why a job cannot be served.
#[derive(Debug, Error)]
pub enum OpenError {
    /// The job file is not there or cannot be read.
    #[error("cannot read `{path}`: {source}")]
    Unreadable {
        /// As it was asked for.
        path: String,
        /// What the system said.
        source: io::Error,
    },
    /// No port to listen on.
    #[error("cannot listen on 127.0.0.1: {0}")]
    NoPort(io::Error),
    /// This machine is in no network of its own.
    #[error("this machine has no address in a network of its own")]
    NoNetwork,
    /// An address that anybody in the world may reach.
    #[error("{0} is no address of a network of one's own")]
    NotOwn(Ipv4Addr),
    /// No port to listen on in the network.
    #[error("cannot listen on {0}: {1}")]
    NoDoor(Ipv4Addr, io::Error),
    /// The system has no random bytes.
    #[error("the system gives no random bytes for the key of the page: {0}")]
    NoKey(getrandom::Error),
}

/// A job being served.
pub struct Live {
    session: Mutex<Session>,
    planner: Planner,
    news: Arc<News>,
    guard: Guard,
    hands: Hands,
    /// What is counted at the saw and not yet written.
    unwritten: Mutex<saw::Unwritten>,
    /// What was worked out last for the yard and the saw.
    worked_out: Mutex<floor::WorkedOut>,
    listener: TcpListener,
    address: String,
    /// The door to the network, where it is open.
    lan: Option<Lan>,
}

/// Who besides this machine may ask to be let in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Network {
    /// Nobody.
    #[default]
    None,
    /// Devices of the network that this machine is in.
    Own,
    /// Devices of the network in which this machine has that address.
    At(Ipv4Addr),
}

impl Live {
    /// Opens a job and listens on a free port of 127.0.0.1. Nothing is answered before [`serve`](Self::serve). A job with
    /// problems is opened too: the page shows them.
    ///
    /// # Errors
    /// [`OpenError`].
    pub fn open(path: &Path, hands: Hands) -> Result<Self, OpenError> {
        Self::open_to(path, hands, Network::None)
    }

    /// The same, for devices of a network too. Each has to be let in on the page before it is shown anything.
    ///
    /// # Errors
    /// [`OpenError`].
    pub fn open_to(path: &Path, hands: Hands, network: Network) -> Result<Self, OpenError> {
        if let Err(source) = std::fs::File::open(path) {
            return Err(OpenError::Unreadable { path: path.display().to_string(), source });
        }
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).map_err(OpenError::NoPort)?;
        let port = listener.local_addr().map_err(OpenError::NoPort)?.port();
        let token = random_word().map_err(OpenError::NoKey)?;
        let address = format!("http://127.0.0.1:{port}/{token}/");
        let guard = Guard { token, hosts: vec![format!("127.0.0.1:{port}"), format!("localhost:{port}")] };
        let news = Arc::new(News::default());
        let planner = Planner::new(path.to_owned(), Arc::clone(&news), hands.why);
        let session = Mutex::new(Session::open(path));
        let (unwritten, worked_out) = (Mutex::default(), Mutex::default());
        let lan = door(network)?;
        let live = Self { session, planner, news, guard, hands, unwritten, worked_out, listener, address, lan };
        live.want_written();
        Ok(live)
    }

    /// Where the page is: the address with its key.
    #[must_use]
    pub fn address(&self) -> &str {
        &self.address
    }

    /// Where devices of the network ask to be let in, if they may.
    #[must_use]
    pub fn door(&self) -> Option<String> {
        self.lan.as_ref().map(Lan::address)
    }

    /// Answers requests; comes back only when `stop` is set and one more request arrives.
    pub fn serve(self, stop: &AtomicBool) {
        let live = Arc::new(self);
        let (planning, watching, answering) = (Arc::clone(&live), Arc::clone(&live), Arc::clone(&live));
        std::thread::spawn(move || planning.planner.work());
        std::thread::spawn(move || watching.watch());
        let at_the_door = Arc::clone(&live);
        std::thread::spawn(move || {
            // It ends with the program.
            let calling = Arc::clone(&at_the_door);
            let Some(lan) = &at_the_door.lan else { return };
            let answer = move |mut request| calling.answer_device(&mut request);
            http::serve(&lan.listener, &AtomicBool::new(false), Arc::new(answer));
        });
        http::serve(&live.listener, stop, Arc::new(move |request| answering.answer(&request)));
        live.planner.end();
    }

    /// Tells every page of changes made elsewhere, whoever was the first to see them.
    fn watch(&self) {
        loop {
            std::thread::sleep(LOOK_EVERY);
            let mut session = self.session();
            session.look();
            let news = session.news();
            drop(session);
            if let Some(mark) = news {
                self.want_written();
                self.news.tell("changed", &mark);
            }
        }
    }

    fn session(&self) -> MutexGuard<'_, Session> {
        // A panic while it was held leaves at worst an older drawing behind: files are put in place whole.
        self.session.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Plans the job of the files, if it is sound.
    fn want_written(&self) {
        let session = self.session();
        if let (Some(good), None) = (session.good(), session.problems()) {
            self.planner.want(good, true);
        }
    }

    /// The plan of a job, waited for where it is not made yet.
    fn planned(&self, laid: &Arc<Laid>) -> Result<Arc<Planned>, String> {
        if let Some(planned) = self.planner.whole(laid) {
            return Ok(planned);
        }
        let plan = whole(&laid.job, &mut |_, _| Flow::Continue);
        let plan = plan.map_err(|cannot| (self.hands.why)(&laid.job, &cannot))?;
        Ok(Arc::new(Planned { laid: Arc::clone(laid), plan }))
    }
}

/// Opens the door to a network.
fn door(network: Network) -> Result<Option<Lan>, OpenError> {
    let address = match network {
        Network::None => return Ok(None),
        Network::Own => own_address().ok_or(OpenError::NoNetwork)?,
        Network::At(address) => address,
    };
    if !is_own(address) {
        return Err(OpenError::NotOwn(address));
    }
    let failed = |error| OpenError::NoDoor(address, error);
    let listener = TcpListener::bind((address, 0)).map_err(failed)?;
    let host = listener.local_addr().map_err(failed)?.to_string();
    Lan::new(listener, host).map(Some).map_err(OpenError::NoKey)
}

/// An address as a code to be scanned from a terminal.
#[must_use]
pub fn code_in_letters(address: &str) -> String {
    lan_page::in_letters(address)
}
