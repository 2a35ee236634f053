//! The live page: a job's files served to a browser on the same machine, where its doors are drawn as they are changed.
//!
//! The text files stay the truth. What is changed on the page is written into the job file, comments and order kept; what
//! is changed in a text editor shows on the page. Every figure comes from the functions that the commands use, and the
//! script on the page computes nothing: it puts in place what it is sent.
//!
//! A [`Live`] listens on the loopback address. [`serve`](Live::serve) answers until the program ends: each request has to
//! carry the token of its address, the host it was printed with, and come from the page itself. This room waits by the
//! clock and has threads of its own; no figure depends on either.

mod address;
mod alternative;
mod card;
mod cure;
mod drawing;
mod edit;
mod fields;
mod floor;
mod freeze;
mod guard;
mod http;
mod news;
mod others;
mod page;
mod plans;
mod routes;
mod rows;
mod saw;
mod saw_page;
mod session;
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
}

impl Live {
    /// Opens a job and listens on a free port of 127.0.0.1. Nothing is answered before [`serve`](Self::serve). A job with
    /// problems is opened too: the page shows them.
    ///
    /// # Errors
    /// [`OpenError`].
    pub fn open(path: &Path, hands: Hands) -> Result<Self, OpenError> {
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
        let live = Self {
            session,
            planner,
            news,
            guard,
            hands,
            unwritten: Mutex::default(),
            worked_out: Mutex::default(),
            listener,
            address,
        };
        live.want_written();
        Ok(live)
    }

    /// Where the page is: the address with its key.
    #[must_use]
    pub fn address(&self) -> &str {
        &self.address
    }

    /// Answers requests; comes back only when `stop` is set and one more request arrives.
    pub fn serve(self, stop: &AtomicBool) {
        let live = Arc::new(self);
        let (planning, watching, answering) = (Arc::clone(&live), Arc::clone(&live), Arc::clone(&live));
        std::thread::spawn(move || planning.planner.work());
        std::thread::spawn(move || {
            loop {
                std::thread::sleep(LOOK_EVERY);
                let mut session = watching.session();
                let changed = session.look().then(|| session.mark().to_owned());
                drop(session);
                if let Some(mark) = changed {
                    watching.want_written();
                    watching.news.tell("changed", &mark);
                }
            }
        });
        http::serve(&live.listener, stop, Arc::new(move |request| answering.answer(&request)));
        live.planner.end();
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
