//! How a command ends: what is printed, what is said, and the status.

use std::fmt::Display;
use std::io::{self, Write};
use std::process::ExitCode;

use clap::error::{ContextKind, ContextValue};

use super::diagnostic;
use crate::files::Problems;
use crate::job::Job;
use crate::plan::Plan;
use crate::report;

/// How a command ends: text for standard output, or a message and a status.
pub(super) enum Ending {
    /// Done: the output goes to standard output, a note on it to standard error.
    Done { output: String, note: String },
    /// The job cannot be done as asked (1) or a file or argument is wrong (2). What there is to
    /// print still goes to standard output.
    Failed { status: u8, message: String, output: String },
}

impl Ending {
    /// Done, with nothing to note.
    pub(super) const fn done(output: String) -> Self {
        Self::Done { output, note: String::new() }
    }

    /// Done; where the packing was stopped early, that is noted whatever the output is.
    pub(super) fn of_plan(output: String, job: &Job, plan: &Plan) -> Self {
        Self::Done { output, note: cut_short_note(report::cut_short(job, plan)) }
    }

    /// Done; where the work was stopped early, `said` is what that means for the answer.
    pub(super) fn of_answer(output: String, stopped: bool, said: &str) -> Self {
        Self::Done { output, note: cut_short_note(stopped.then(|| format!("stopped early: {said}"))) }
    }

    /// A file or an argument is wrong: what, and what to do next. What it quotes of them is made safe to show.
    pub(super) fn wrong(what: impl Display, next: &str) -> Self {
        let message = printable_lines(&format!("error: {what}\nhelp: {next}\n"));
        Self::Failed { status: 2, message, output: String::new() }
    }

    /// Files with problems, each with what would be right; `first` says what they belong to.
    pub(super) fn problems(first: &str, problems: &Problems) -> Self {
        let said = diagnostic::render(problems, coloured());
        Self::Failed { status: 2, message: printable_lines(first) + &said, output: String::new() }
    }
}

/// Colours go to a terminal that can show them, and to nobody who asked for none: NO_COLOR, CLICOLOR and TERM are heard.
pub(super) fn coloured() -> bool {
    anstream::AutoStream::choice(&io::stderr()) != anstream::ColorChoice::Never
}

pub(super) fn printable_lines(text: &str) -> String {
    text.lines().map(|line| report::printable(line) + "\n").collect()
}

/// Prints what there is to print and gives the status.
pub(super) fn end(ending: Ending) -> ExitCode {
    let (status, message, output) = match ending {
        Ending::Done { output, note } => (0, note, output),
        Ending::Failed { status, message, output } => (status, message, output),
    };
    let printed = print(&output);
    let _ = io::stderr().lock().write_all(message.as_bytes());
    if printed { ExitCode::from(status) } else { ExitCode::from(status.max(2)) }
}

/// Prints on standard output and answers whether all of it went out; what stood in the way is said on standard error.
pub(super) fn print(output: &str) -> bool {
    let mut out = io::stdout().lock();
    let written = out.write_all(output.as_bytes()).and_then(|()| out.flush());
    went_out(written)
}

/// True when all was written, or when the reader had seen enough (`| head`); else says why not.
pub(super) fn went_out(written: io::Result<()>) -> bool {
    match written {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            let said = format!(
                "error: cannot write to standard output: {error}\nhelp: check that the disk it goes to is not full\n"
            );
            let _ = io::stderr().lock().write_all(printable_lines(&said).as_bytes());
            false
        }
        _ => true,
    }
}

/// One line on standard error about a plan that was cut short.
pub(super) fn cut_short_note(said: Option<String>) -> String {
    said.map_or_else(String::new, |said| format!("note: {said}\n"))
}

/// Commands by the names that they had once: refused with the new one.
const RENAMED: [(&str, &str); 2] = [("canvas", "cloth"), ("tally", "count")];

/// What to say of a command by an old name.
pub(super) fn renamed(error: &clap::Error) -> Option<Ending> {
    let Some(ContextValue::String(word)) = error.get(ContextKind::InvalidSubcommand) else { return None };
    let (old, new) = RENAMED.iter().find(|(old, _)| old == word)?;
    Some(Ending::wrong(format!("the command `{old}` is now `{new}`"), &format!("say `slatwright {new}`")))
}

/// Help, or what is wrong with the arguments; words that could steer a terminal are shown without colours and safe.
pub(super) fn wrong_arguments(error: &clap::Error) -> ExitCode {
    let said = error.render().to_string();
    let safe = printable_lines(&said);
    let printed = if safe.trim_end() == said.trim_end() {
        went_out(error.print().and_then(|()| io::stdout().flush()))
    } else {
        io::stderr().lock().write_all(safe.as_bytes()).is_ok()
    };
    ExitCode::from(if printed && !error.use_stderr() { 0 } else { 2 })
}
