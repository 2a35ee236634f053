//! Time, key presses and the progress line: all that keeps a clock, and only here.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::measure::{Length, Units};
use crate::packing::{Flow, Progress, Standing};
use crate::plan::Stage;

/// Packings shorter than this show nothing.
const QUIET: Duration = Duration::from_secs(1);

/// Watches a packing: shows cost and bound on a terminal, stops it at the time limit or on Ctrl-C.
pub(super) struct Watch {
    started: Instant,
    limit: Option<Duration>,
    units: Units,
    interrupted: Arc<AtomicBool>,
    line: Option<ProgressBar>,
    /// Whether the packing was told to stop.
    stopped: bool,
}

impl Watch {
    /// Starts the clock; `seconds` is above zero where given. Lengths are shown in `units`.
    pub(super) fn start(seconds: Option<f64>, units: Units) -> Self {
        let interrupted = Arc::new(AtomicBool::new(false));
        let flag = Arc::clone(&interrupted);
        // A second Ctrl-C ends the program at once. Where no handler can be set, Ctrl-C does so at
        // the first: nothing has been written yet at that point.
        let _ = ctrlc::set_handler(move || {
            if flag.swap(true, Ordering::Relaxed) {
                std::process::exit(130);
            }
        });
        let limit = seconds.map(Duration::from_secs_f64);
        Self { started: Instant::now(), limit, units, interrupted, line: None, stopped: false }
    }

    /// Hears progress and answers whether to go on.
    pub(super) fn hear(&mut self, stage: Stage, progress: Progress) -> Flow {
        let elapsed = self.started.elapsed();
        if elapsed > QUIET {
            self.show(stage, progress);
        }
        let late = self.limit.is_some_and(|limit| elapsed >= limit);
        self.stopped = self.stopped || late || self.interrupted.load(Ordering::Relaxed);
        if self.stopped { Flow::Stop } else { Flow::Continue }
    }

    fn show(&mut self, stage: Stage, progress: Progress) {
        let line = self.line.get_or_insert_with(|| {
            // A terminal that only prints would show every change as a line of its own.
            let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
            let target = if dumb { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr() };
            let line = ProgressBar::with_draw_target(None, target);
            if let Ok(style) = ProgressStyle::with_template("{spinner} {elapsed} {msg}") {
                line.set_style(style);
            }
            line
        });
        line.set_message(said(stage, progress.standing, self.units));
        line.tick();
    }

    /// Takes the progress line away; true when the packing was told to stop before it had done its work.
    pub(super) fn finish(self) -> bool {
        if let Some(line) = self.line {
            line.finish_and_clear();
        }
        self.stopped
    }
}

/// The progress line: what is packed, the best so far and what is proven.
fn said(stage: Stage, standing: Standing, units: Units) -> String {
    let what = match stage {
        Stage::Boards => "boards",
        Stage::Cloth => "cloth",
        Stage::Sheets => "sheets",
    };
    let (figure, best, bound) = match standing {
        Standing::Cost { best, bound } => ("cost", best.map(|best| best.to_string()), bound.to_string()),
        Standing::Length { best, bound } => {
            let length = |length: Length| format!("{} {units}", length.show_nearest(units));
            ("length", best.map(length), length(bound))
        }
    };
    let best = best.map_or_else(|| "no plan yet".to_owned(), |best| format!("{figure} {best}"));
    format!("{what}: {best}, at least {bound} (Ctrl-C: take the best so far)")
}
