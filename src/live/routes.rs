//! What is answered to each request. A wrong one is answered too, never by a panic.

use std::path::PathBuf;
use std::sync::Arc;

use maud::{Markup, html};

use super::address::{Address, Of};
use super::card::{card, ways};
use super::cure::cure;
use super::devices::{Caller, Right};
use super::drawing::positions;
use super::edit::{Change, open};
use super::fields::{fields, stepped};
use super::http::{Reply, Request, SHEET};
use super::lan_page::{devices, waiting};
use super::others::{frozen_of, others, text_of};
use super::page::{Steps, View, page, parts};
use super::plans::{Planned, Price, Stand};
use super::session::{Laid, NotWritten, Session};
use super::shop_fields::{Texts, shelves};
use super::shop_page::{ShopView, shop_page, shop_parts};
use super::{Live, freeze};
use crate::files::Problems;
use crate::report::bench::{POSITIONS, bench};
use crate::report::pages::page_files;

const LOOK: &str = include_str!("look.css");
const SCRIPT: &str = include_str!("page.js");
const WAIT: &str = include_str!("wait.js");
/// Slats round a corner.
const ICON: &str = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 32 32'><path d='M4 8h12a12 12 0 0 1 12 12v8' \
                    fill='none' stroke='#a8752f' stroke-width='7' stroke-dasharray='5 1.2'/></svg>";
/// Longest text of one field.
const LONGEST_TEXT: usize = 500;

/// A value that is typed and not written, with the problems that it would make.
struct Typed {
    at: Address,
    text: String,
    problems: Option<Problems>,
    /// The whole text of its file that these are problems of.
    whole: Option<String>,
}

impl Live {
    /// Answers a request that may come from anywhere.
    pub(super) fn answer(&self, request: &Request) -> Reply {
        match self.guard.admit(request) {
            Ok(path) => self.page(request, path),
            Err(refused) => refused,
        }
    }

    /// Answers a device of the network.
    pub(super) fn answer_device(&self, request: &mut Request) -> Reply {
        let Some(lan) = &self.lan else { return Reply::refused(404, "there is no such page") };
        let (caller, news) = lan.caller(request);
        let (right, path) = match caller {
            Caller::Not(reply) => {
                if news {
                    self.news.tell("changed", "devices");
                }
                return reply;
            }
            Caller::Waits(number) => return waits(request.key().1, number),
            Caller::In(right, path) => (right, path.to_owned()),
        };
        request.device = Some(right);
        self.page(request, &path)
    }

    /// Answers whoever was let in.
    fn page(&self, request: &Request, path: &str) -> Reply {
        match (request.post, path) {
            (false, "") => self.show(request, true),
            (false, "shop") => self.show_shop(request),
            (false, "parts") => {
                self.want_written();
                self.show(request, false)
            }
            (false, "look.css") => Reply::whole(200, "text/css; charset=utf-8", LOOK.into()),
            (false, "page.js") => Reply::whole(200, "text/javascript; charset=utf-8", SCRIPT.into()),
            (false, "icon.svg") => Reply::whole(200, "image/svg+xml", ICON.into()),
            (false, "news") => Reply::News(self.news.listen()),
            (false, "card") => self.card(),
            (false, "positions") => self.positions(request),
            (false, sheet) if sheet.starts_with("sheets/") => self.sheet(&sheet["sheets/".len()..]),
            (false, frozen) if frozen.starts_with("frozen/") => self.frozen(&frozen["frozen/".len()..]),
            (_, floor) if floor.starts_with("saw") || floor.starts_with("yard") => self.floor(request, floor),
            (true, "try") => self.attempt(request),
            (true, "edit") => self.edit(request),
            _ => Reply::refused(404, "there is no such page"),
        }
    }

    fn show(&self, request: &Request, whole: bool) -> Reply {
        let mut session = self.session();
        session.look();
        self.shown(request, &mut session, None, None, whole)
    }

    fn show_shop(&self, request: &Request) -> Reply {
        let mut session = self.session();
        session.look();
        let title = session.good().map_or_else(String::new, |laid| laid.job.name.clone());
        let parts = self.shop_shown(request, &session, None, None);
        Reply::html(shop_page(&title, &parts))
    }

    /// The page, or its parts: of `laid` where it is given, else of the job as it is.
    fn shown(
        &self,
        request: &Request,
        session: &mut Session,
        typed: Option<&Typed>,
        laid: Option<Arc<Laid>>,
        whole: bool,
    ) -> Reply {
        if request.value("view").as_deref() == Some("shop") {
            return Reply::html(self.shop_shown(request, session, typed, laid).into_string());
        }
        let old = laid.is_none() && session.problems().is_some();
        let laid = laid.or_else(|| session.good().cloned());
        let number = laid.as_ref().map_or(0, |laid| session.draw(laid));
        let document = open(session.text()).unwrap_or_default();
        let cabinets = super::fields::cabinets(&document);
        // One that was just put in lies on the bench.
        let put_in = matches!(request.value("what").as_deref(), Some("add" | "copy" | "bring"));
        let asked = if put_in { cabinets } else { request.number("cabinet").unwrap_or(0) };
        let cabinet = asked.min(cabinets.saturating_sub(1));
        let position = request.number("open").unwrap_or(0).min(POSITIONS - 1);
        // Problems of a value that is only typed stand in the text that holds it.
        let of_job = typed.filter(|typed| typed.at.of() == Of::Job);
        let text = of_job.and_then(|typed| typed.whole.as_deref()).unwrap_or(session.text());
        let problems = typed.and_then(|typed| typed.problems.as_ref()).or(session.problems());
        let at = of_job.map(|typed| (&typed.at, typed.text.as_str()));
        let price = self.price(session);
        let (others, frozen) = (others(session.path()), frozen_of(session.path()));
        let view = View {
            fields: fields(text, cabinet, laid.as_deref(), problems, at),
            laid: laid.as_deref(),
            number,
            old,
            cabinet,
            position,
            mark: session.mark(),
            notice: session.notice(),
            ways: session.ways(),
            price: &price,
            others: &others,
            frozen: &frozen,
            unit: session.units().word(),
            devices: self.devices_shown(request),
        };
        Reply::html(if whole { page(&view) } else { parts(&view).into_string() })
    }

    /// What may change on the page of the shop.
    fn shop_shown(
        &self,
        request: &Request,
        session: &Session,
        typed: Option<&Typed>,
        laid: Option<Arc<Laid>>,
    ) -> Markup {
        let laid = laid.or_else(|| session.good().cloned());
        let whole = typed.and_then(|typed| Some((typed.at.of(), typed.whole.as_deref()?)));
        let of = |of: Of| {
            let file = session.file(of)?;
            Some((whole.filter(|(other, _)| *other == of).map_or(file.text(), |(_, text)| text), file.path()))
        };
        let texts = Texts {
            of: &of,
            laid: laid.as_deref(),
            problems: typed.and_then(|typed| typed.problems.as_ref()).or(session.problems()),
            typed: typed.map(|typed| (&typed.at, typed.text.as_str())),
            units: session.units(),
        };
        let (price, frozen) = (self.price(session), frozen_of(session.path()));
        let cabinet = request.number("cabinet").unwrap_or(0);
        let (mark, notice, ways) = (session.mark(), session.notice(), session.ways());
        let head = Steps { view: "shop", mark, cabinet, notice, ways, devices: self.devices_shown(request) };
        let unit = session.units().word();
        shop_parts(&ShopView {
            head,
            shelves: &shelves(&texts),
            laid: laid.as_deref(),
            price: &price,
            frozen: &frozen,
            unit,
        })
    }

    /// What is known of the price: nothing is, and nothing is waited for, where there never was a sound job.
    fn price(&self, session: &Session) -> Price {
        let mut price = self.planner.price();
        if session.good().is_none() {
            let why = "A job with problems has no price: fix what is listed beside the drawing.";
            price.stand = Stand::Cannot(why.to_owned());
        }
        price
    }

    fn card(&self) -> Reply {
        let session = self.session();
        let frozen = frozen_of(session.path());
        let (price, job) = (self.price(&session), session.good().map(|laid| &laid.job));
        Reply::html((html! { (ways(&price, job)) (card(&price, &frozen)) }).into_string())
    }

    fn positions(&self, request: &Request) -> Reply {
        let number = request.number("of").unwrap_or(0) as u64;
        let Some(laid) = self.session().drawing(number) else {
            return Reply::refused(404, "that drawing is gone; look at the page again");
        };
        let cabinet = request.number("cabinet").unwrap_or(0);
        match bench(&laid.job, cabinet, &laid.doors) {
            Some(bench) => Reply::whole(200, "application/json", positions(&bench).into_bytes()),
            None => Reply::refused(404, "there is no such cabinet"),
        }
    }

    /// A printed sheet of the job as it is, by its name among them.
    fn sheet(&self, name: &str) -> Reply {
        let (planned, _) = match self.planned_now() {
            Ok(planned) => planned,
            Err(why) => return Reply::refused(409, &why),
        };
        let laid = &planned.laid;
        let found = page_files(&laid.job, &planned.plan).into_iter().find(|(file, _)| file == name);
        match found {
            Some((_, body)) => sheet_reply(body),
            None => Reply::refused(404, "there is no such sheet"),
        }
    }

    /// The job as it is now, where it is sound, with its path.
    pub(super) fn laid_now(&self) -> Result<(Arc<Laid>, PathBuf), String> {
        let mut session = self.session();
        session.look();
        let sound = session.good().cloned().filter(|_| session.problems().is_none());
        let laid = sound.ok_or("The job has problems: fix them before anything is cut.")?;
        Ok((laid, session.path().to_owned()))
    }

    /// Its plan.
    pub(super) fn planned_now(&self) -> Result<(Arc<Planned>, PathBuf), String> {
        let (laid, path) = self.laid_now()?;
        Ok((self.planned(&laid)?, path))
    }

    /// The client's page of a frozen revision.
    fn frozen(&self, number: &str) -> Reply {
        let path = self.session().path().to_owned();
        let frozen = number.parse().ok().and_then(|n: u32| crate::offer::Frozen::of(&path, Some(n)).ok());
        match frozen.map(|frozen| frozen.file("plan/pages/quote-client.html")) {
            Some(Ok(body)) => sheet_reply(body),
            Some(Err(error)) => Reply::refused(409, &error.to_string()),
            None => Reply::refused(404, "there is no such revision"),
        }
    }

    /// The job as it would be with what is typed: nothing is written.
    fn attempt(&self, request: &Request) -> Reply {
        let Some((at, text)) = typed(request) else { return Reply::refused(400, "there is no such value") };
        let mut session = self.session();
        session.look();
        let change = Change::Set(vec![(at.clone(), text.clone())]);
        let (reading, whole) = match session.attempt(&change) {
            Ok(tried) => tried,
            Err(error) => return Reply::refused(409, &error.to_string()),
        };
        match reading.outcome {
            Ok(laid) => {
                self.planner.want(&laid, false);
                self.shown(
                    request,
                    &mut session,
                    Some(&Typed { at, text, problems: None, whole: None }),
                    Some(laid),
                    false,
                )
            }
            Err(problems) => {
                let typed = Typed { at, text, problems: Some(problems), whole: Some(whole) };
                self.shown(request, &mut session, Some(&typed), None, false)
            }
        }
    }

    /// Writes what was asked for, and says what came of it.
    fn edit(&self, request: &Request) -> Reply {
        let Some(what) = request.value("what") else { return Reply::refused(400, "nothing is asked for") };
        let seen = request.value("seen").unwrap_or_default();
        match what.as_str() {
            "freeze" => return self.freeze(request, &seen),
            "device" => return self.decide_device(request),
            _ => {}
        }
        let mut session = self.session();
        let outcome = match what.as_str() {
            "undo" => session.back(false),
            "redo" => session.back(true),
            _ => {
                session.look();
                match self.change(request, &session, &what) {
                    Some((words, change)) => session.write(&seen, &words, &change),
                    None => {
                        session.say(match what.as_str() {
                            "alternative" => {
                                "This one changes more than the page can write: take it up in the job file."
                            }
                            _ => "That cannot be done here.",
                        });
                        return self.shown(request, &mut session, None, None, false);
                    }
                }
            }
        };
        let typed = outcome.err().and_then(|error| refused(request, &mut session, error));
        if let Some(good) = session.good() {
            self.planner.want(good, true);
        }
        // They are told here.
        let _ = session.news();
        self.news.tell("changed", session.mark());
        self.shown(request, &mut session, typed.as_ref(), None, false)
    }

    /// Lets a device in, or out. That is the maker's alone.
    fn decide_device(&self, request: &Request) -> Reply {
        let right = match request.value("right").as_deref() {
            Some("look") => Some(Right::Look),
            Some("write") => Some(Right::Write),
            Some("out") => None,
            _ => return Reply::refused(400, "say what the device may do"),
        };
        let number = request.number("number").and_then(|number| u32::try_from(number).ok()).unwrap_or(0);
        match &self.lan {
            Some(lan) if request.device.is_none() => {
                let known = lan.decide(number, right);
                let mut session = self.session();
                session.say(if known { "" } else { "That device is not there any more." });
                self.news.tell("changed", "devices");
                self.shown(request, &mut session, None, None, false)
            }
            _ => Reply::refused(403, "only the machine that serves the job lets others in"),
        }
    }

    /// The phones and tablets of the network, for the maker alone.
    fn devices_shown(&self, request: &Request) -> Option<Markup> {
        self.lan.as_ref().filter(|_| request.device.is_none()).map(devices)
    }

    /// The change that is asked for, with words for it.
    fn change(&self, request: &Request, session: &Session, what: &str) -> Option<(String, Change)> {
        let cabinet = request.number("cabinet").unwrap_or(0);
        let document = open(session.text()).ok()?;
        match what {
            "set" => {
                let (at, text) = typed(request)?;
                Some((at.words(), Change::Set(vec![(at, text)])))
            }
            "step" => {
                let (at, text) = typed(request)?;
                let up = request.value("by")? == "up";
                let next = stepped(&at, &text, up, session.units())?;
                Some((at.words(), Change::Set(vec![(at, next)])))
            }
            "copy_row" | "remove_row" => {
                let asked = request.value("of")?;
                let of = Of::OTHERS.into_iter().find(|of| of.is_table() && of.key() == asked)?;
                let row = request.number("row")?;
                Some(if what == "copy_row" {
                    (format!("one more row of the {asked}"), Change::CopyRow(of, row))
                } else {
                    (format!("a row of the {asked} taken out"), Change::RemoveRow(of, row))
                })
            }
            "add" => Some(("a new cabinet".to_owned(), Change::Add)),
            "copy" => Some(("a copy of the cabinet".to_owned(), Change::Copy(cabinet))),
            "remove" => Some(("the cabinet taken out".to_owned(), Change::Remove(cabinet))),
            "bring" => {
                let (file, from) = (request.value("file")?, request.number("from")?);
                let text = text_of(session.path(), &file)?;
                Some((format!("the cabinet from {file}"), Change::Bring { text, cabinet: from }))
            }
            "cure" => {
                let laid = session.good()?;
                let door = laid.doors.get(request.number("door")?)?;
                let fix = door.fixes.get(request.number("fix")?)?;
                let values = cure(&document, &laid.job, door, fix);
                (!values.is_empty()).then(|| (format!("the cure: {}", fix.text), Change::Set(values)))
            }
            "alternative" => {
                let index = request.number("index")?;
                let name = session.good()?.job.alternatives.get(index)?.name.clone();
                let values = super::alternative::values(&document, index)?;
                Some((name, Change::Set(values)))
            }
            _ => None,
        }
    }

    fn freeze(&self, request: &Request, seen: &str) -> Reply {
        let mut session = self.session();
        session.look();
        let stale = seen != session.mark();
        let good = session.good().cloned().filter(|_| session.problems().is_none());
        let path = session.path().to_owned();
        let Some(laid) = good.filter(|_| !stale) else {
            session.say(if stale { STALE } else { "A job with problems cannot be frozen." });
            return self.shown(request, &mut session, None, None, false);
        };
        // Others may go on while it is planned.
        drop(session);
        let said = match self.planned(&laid) {
            Ok(planned) => freeze::freeze(&path, &planned, &self.hands),
            Err(why) => Err(why),
        };
        let mut session = self.session();
        session.look();
        session.say(said.unwrap_or_else(|why| format!("Nothing was frozen: {why}")));
        // They are told here.
        let _ = session.news();
        self.news.tell("changed", session.mark());
        self.shown(request, &mut session, None, None, false)
    }
}

/// What a device is shown that waits at the door.
fn waits(path: &str, number: u32) -> Reply {
    match path {
        "" => Reply::html(waiting(number)),
        "look.css" => Reply::whole(200, "text/css; charset=utf-8", LOOK.into()),
        "icon.svg" => Reply::whole(200, "image/svg+xml", ICON.into()),
        "wait.js" => Reply::whole(200, "text/javascript; charset=utf-8", WAIT.into()),
        _ => Reply::refused(403, "this device is not let in yet"),
    }
}

const STALE: &str = "The job changed since this page was drawn: nothing was written. What you typed is still in its \
                     field; press Enter there to write it all the same.";

/// Says why nothing was written; what was typed stays in its field.
fn refused(request: &Request, session: &mut Session, error: NotWritten) -> Option<Typed> {
    let kept = |problems, whole| {
        let (at, text) = typed(request)?;
        Some(Typed { at, text, problems, whole })
    };
    match error {
        NotWritten::Stale => {
            session.say(STALE);
            kept(None, None)
        }
        NotWritten::Worse(problems, whole) => {
            let first = problems.iter().next().map(|problem| format!("{}; {}", problem.what, problem.help));
            session.say(format!("Not written: {}", first.unwrap_or_default()));
            kept(Some(problems), Some(whole))
        }
        NotWritten::Change(error) => {
            session.say(error.to_string());
            kept(None, None)
        }
        NotWritten::Replace(error) => {
            session.say(error.to_string());
            kept(None, None)
        }
        NotWritten::Nothing => {
            session.say("There is nothing to take back.");
            None
        }
    }
}

/// The value that a request is about.
fn typed(request: &Request) -> Option<(Address, String)> {
    let at = Address::read(&request.value("at")?)?;
    let text = request.value("to")?;
    (text.len() <= LONGEST_TEXT && !text.contains(['\n', '\r', '\0'])).then_some((at, text))
}

fn sheet_reply(body: Vec<u8>) -> Reply {
    Reply::Whole { status: 200, kind: "text/html; charset=utf-8", policy: SHEET, more: String::new(), body }
}
