//! What is answered at the yard and at the saw.

use std::path::PathBuf;
use std::sync::{Arc, MutexGuard, PoisonError};

use super::Live;
use super::http::{Reply, Request};
use super::plans::whole;
use super::saw::{self, Cutting, OfCut, Unwritten, What};
use super::saw_page::{at_the_saw, nothing_cut};
use super::session::Laid;
use super::yard::{Measured, Trip, picked};
use super::yard_page::{at_the_yard, no_trip};
use crate::job::Job;
use crate::packing::Flow;
use crate::shopfloor::{CountRow, FloorError, Standing, Yard, with_picked};

/// An answer of the yard or the saw, or why there is none.
type Known<T> = Arc<Result<T, String>>;

/// What was counted of every cut.
type Counted = Vec<Vec<CountRow>>;

/// What was worked out last: a page that is looked at again has it at once.
#[derive(Default)]
pub(super) struct WorkedOut {
    yard: Option<Once<Option<String>, Yard>>,
    saw: Option<Once<Counted, Standing>>,
}

/// An answer with what it was worked out from.
struct Once<From, T> {
    laid: Arc<Laid>,
    from: From,
    known: Known<T>,
}

impl<From: PartialEq, T> Once<From, T> {
    /// The answer, where it is of this job and of this.
    fn of(&self, laid: &Arc<Laid>, from: &From) -> Option<Known<T>> {
        (Arc::ptr_eq(&self.laid, laid) && self.from == *from).then(|| Arc::clone(&self.known))
    }
}

impl Live {
    /// Pages of the yard and the saw, and what is pressed on them.
    pub(super) fn floor(&self, request: &Request, path: &str) -> Reply {
        match (request.post, path) {
            (false, "saw") => self.saw(request),
            (true, "saw-begin") => self.saw_begin(),
            (true, "saw-count") => self.saw_count(request),
            (true, "saw-next") => self.saw_next(),
            (false, "yard") => self.yard(None),
            (true, "yard-measure") => self.yard_measure(request),
            (true, "yard-decide") => self.yard_decide(request),
            (true, "yard-cut") => self.yard_cut(),
            _ => Reply::refused(404, "there is no such page"),
        }
    }

    fn worked_out(&self) -> MutexGuard<'_, WorkedOut> {
        self.worked_out.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn words(&self, job: &Job, error: FloorError) -> String {
        match error {
            FloorError::Cannot(cannot) => (self.hands.why)(job, &cannot),
            other => other.to_string(),
        }
    }

    // ---- the yard ----

    fn trip(&self) -> Result<(Trip, PathBuf), String> {
        let (laid, path) = self.laid_now()?;
        Ok((Trip::open(&path, laid)?, path))
    }

    fn yard(&self, asked: Option<(&Measured, &Vec<(String, String)>)>) -> Reply {
        match self.trip() {
            Ok((trip, _)) => {
                let known = self.yard_of(&trip);
                Reply::html(at_the_yard(&trip, known.as_ref().as_ref().map_err(Clone::clone), asked))
            }
            Err(why) => Reply::html(no_trip(&why)),
        }
    }

    fn yard_of(&self, trip: &Trip) -> Known<Yard> {
        if let Some(known) = self.worked_out().yard.as_ref().and_then(|once| once.of(&trip.laid, &trip.text)) {
            return known;
        }
        let known = Arc::new(trip.standing().map_err(|error| self.words(trip.job(), error)));
        let (laid, from) = (Arc::clone(&trip.laid), trip.text.clone());
        self.worked_out().yard = Some(Once { laid, from, known: Arc::clone(&known) });
        known
    }

    fn yard_measure(&self, request: &Request) -> Reply {
        let trip = match self.trip() {
            Ok((trip, _)) => trip,
            Err(why) => return Reply::html(no_trip(&why)),
        };
        // Pressed twice, a board is asked about once.
        if request.number("seen") != Some(trip.rows.len()) {
            return Reply::to("yard");
        }
        let board = Measured::of(request, trip.job().units);
        match trip.measure(&board) {
            Ok(()) => Reply::to("yard"),
            Err(wrong) => self.yard(Some((&board, &wrong))),
        }
    }

    fn yard_decide(&self, request: &Request) -> Reply {
        let count = request.number("count").and_then(|count| u32::try_from(count).ok()).filter(|count| *count <= 1);
        let (Some(board), Some(count)) = (request.value("board"), count) else {
            return Reply::refused(400, "say which board, and whether it is taken");
        };
        match self.trip().and_then(|(trip, _)| trip.decide(&board, count)) {
            Ok(()) => Reply::to("yard"),
            Err(why) => Reply::html(no_trip(&why)),
        }
    }

    /// The plan from the boards picked: from now on it is the one that is cut.
    fn yard_cut(&self) -> Reply {
        let cut = || {
            let (trip, path) = self.trip()?;
            let job = with_picked(trip.job(), &trip.rows).map_err(|error| self.words(trip.job(), error))?;
            let plan = whole(&job, &mut |_, _| Flow::Continue).map_err(|cannot| (self.hands.why)(&job, &cannot))?;
            saw::begin(&path, &job, &plan)
        };
        match cut() {
            Ok(()) => {
                self.unwritten().clear();
                Reply::to("saw")
            }
            Err(why) => Reply::html(no_trip(&why)),
        }
    }

    // ---- the saw ----

    fn cutting(&self) -> Result<Option<Cutting>, String> {
        let (laid, path) = self.laid_now()?;
        Cutting::open(&path, laid).transpose()
    }

    fn saw(&self, request: &Request) -> Reply {
        let cutting = match self.cutting() {
            Ok(Some(cutting)) => cutting,
            Ok(None) => {
                let session = self.session();
                return Reply::html(nothing_cut(None, picked(session.path(), session.units())));
            }
            Err(why) => return Reply::html(nothing_cut(Some(&why), 0)),
        };
        let boards = cutting.boards();
        let asked = of_cut(request).filter(|at| boards.contains(at));
        let open = || boards.iter().find(|at| !cutting.is_done(**at)).or(boards.last()).copied();
        let at = asked.or_else(open).unwrap_or_default();
        let standing = self.standing_of(&cutting);
        let unwritten = self.unwritten().clone();
        Reply::html(at_the_saw(&cutting, &unwritten, at, standing.as_ref().as_ref().map_err(Clone::clone)))
    }

    fn standing_of(&self, cutting: &Cutting) -> Known<Standing> {
        let from: Counted = cutting.rounds.iter().map(|round| round.rows.clone()).collect();
        if let Some(known) = self.worked_out().saw.as_ref().and_then(|once| once.of(&cutting.laid, &from)) {
            return known;
        }
        let known = Arc::new(cutting.standing().map_err(|error| self.words(&cutting.laid.job, error)));
        self.worked_out().saw = Some(Once { laid: Arc::clone(&cutting.laid), from, known: Arc::clone(&known) });
        known
    }

    fn saw_begin(&self) -> Reply {
        match self.planned_now().and_then(|(planned, path)| saw::begin(&path, &planned.laid.job, &planned.plan)) {
            Ok(()) => {
                self.unwritten().clear();
                Reply::to("saw")
            }
            Err(why) => Reply::html(nothing_cut(Some(&why), 0)),
        }
    }

    fn saw_count(&self, request: &Request) -> Reply {
        let Some(at) = of_cut(request) else { return Reply::refused(400, "say which board") };
        let part = request.number("part");
        let what = match (request.value("what").as_deref(), part) {
            (Some("straight"), Some(part)) => What::Straight(part),
            (Some("bowed"), Some(part)) => What::Bowed(part),
            (Some("rest"), _) => What::RestStraight,
            _ => return Reply::refused(400, "say what came off the saw"),
        };
        // One press after another, from whatever page.
        let mut unwritten = self.unwritten();
        let counted = match self.cutting() {
            Ok(Some(mut cutting)) => cutting.count(&mut unwritten, at, what),
            Ok(None) => Err("Nothing is being cut yet.".to_owned()),
            Err(why) => Err(why),
        };
        match counted {
            Ok(()) => Reply::to(&format!("saw?cut={}&board={}", at.0, at.1)),
            Err(why) => Reply::html(nothing_cut(Some(&why), 0)),
        }
    }

    /// What is still to be cut becomes a cut of its own.
    fn saw_next(&self) -> Reply {
        let unwritten = self.unwritten();
        let begun = match self.cutting() {
            Ok(Some(cutting)) => match self.standing_of(&cutting).as_ref() {
                Ok(standing) => cutting.next_cut(&unwritten, standing).map(|_| ()),
                Err(why) => Err(why.clone()),
            },
            Ok(None) => Err("Nothing is being cut yet.".to_owned()),
            Err(why) => Err(why),
        };
        match begun {
            Ok(()) => Reply::to("saw"),
            Err(why) => Reply::html(nothing_cut(Some(&why), 0)),
        }
    }

    fn unwritten(&self) -> MutexGuard<'_, Unwritten> {
        self.unwritten.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The board that a request is about.
fn of_cut(request: &Request) -> Option<OfCut> {
    Some((request.number("cut").unwrap_or(0), request.number("board")?))
}
