//! What a shell and `man` read of the command: made from the same arguments that the command takes.

use clap::{Command, ValueEnum};
use clap_complete::Shell;
use clap_mangen::Man;

/// Who reads it.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Reader {
    Bash,
    Elvish,
    Fish,
    Powershell,
    Zsh,
    /// The manual page, in the form that `man` reads.
    Man,
}

/// The script that a shell reads at its start, or the manual page.
pub(super) fn made_for(reader: Reader, mut command: Command) -> String {
    let shell = match reader {
        Reader::Bash => Shell::Bash,
        Reader::Elvish => Shell::Elvish,
        Reader::Fish => Shell::Fish,
        Reader::Powershell => Shell::PowerShell,
        Reader::Zsh => Shell::Zsh,
        Reader::Man => return manual(command),
    };
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut command, "slatwright", &mut script);
    String::from_utf8_lossy(&script).into_owned()
}

/// One page for the command and all that it can be asked, each part under its own heading.
fn manual(mut command: Command) -> String {
    command.build();
    let page = |command: &Command| {
        let mut text = Vec::new();
        // Writing to memory cannot fail; were it to, the page would end early.
        let _ = Man::new(command.clone().disable_help_subcommand(true)).render(&mut text);
        String::from_utf8_lossy(&text).into_owned()
    };
    let mut whole = page(&command);
    for part in command.get_subcommands().filter(|part| part.get_name() != "help") {
        let text = page(part);
        // Below the title of a page of its own, which this is not.
        let body = text.split_once("\n.SH ").map_or("", |(_, body)| body);
        let name = part.get_name().to_uppercase();
        whole += &format!(".SH {name}\n.SS {}", body.replace("\n.SH ", "\n.SS "));
    }
    whole
}
