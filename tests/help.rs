//! Every command's `--help` has examples, and every example runs as it stands; the shells' completions know the
//! commands and their options.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Output};

fn slatwright(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_slatwright")).args(arguments).output().unwrap();
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// The commands in the order in which `--help` lists them.
fn commands() -> Vec<String> {
    let help = slatwright(&["--help"]);
    let list = help.split("Commands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let names = list.lines().map(|line| line.split_whitespace().next().unwrap().to_owned());
    names.filter(|name| name != "help").collect()
}

/// The lines of shell under a command's help, after its options.
fn examples(command: &str) -> Vec<String> {
    let help = slatwright(&[command, "--help"]);
    let after = help.split("Print help").nth(1).unwrap();
    after.lines().filter_map(|line| line.strip_prefix("  ")).map(str::to_owned).collect()
}

/// Runs a line of shell with slatwright on the path; `None` where there is no such shell.
fn run(shell: &str, line: &str, folder: &Path) -> Option<Output> {
    let binary = Path::new(env!("CARGO_BIN_EXE_slatwright")).parent().unwrap();
    let path = format!("{}:{}", binary.display(), std::env::var("PATH").unwrap_or_default());
    Command::new(shell).args(["-e", "-c", line]).current_dir(folder).env("PATH", path).output().ok()
}

#[test]
fn every_command_shows_itself_in_an_example() {
    let commands = commands();
    assert!(commands.len() >= 13, "{commands:?}");
    for command in commands {
        let start = format!("slatwright {command}");
        assert!(examples(&command).iter().any(|line| line.starts_with(&start)), "{command}");
    }
}

#[test]
fn the_help_fits_a_terminal() {
    let mut helps = vec![slatwright(&["--help"])];
    helps.extend(commands().iter().map(|command| slatwright(&[command, "--help"])));
    for help in helps {
        assert_eq!(help.lines().find(|line| line.chars().count() > 80), None);
    }
}

/// An example of `open` goes on until it is ended: it is run until it has printed its address. One that would open a
/// browser on the machine that tests is not run; it differs by one word from one that is.
fn opened(line: &str, folder: &Path) -> usize {
    let Some(line) = line.strip_suffix(" --no-browser") else { return 0 };
    let words: Vec<&str> = line.split(' ').skip(1).chain(["--no-browser"]).collect();
    let mut program = Command::new(env!("CARGO_BIN_EXE_slatwright"))
        .args(words)
        .current_dir(folder)
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = String::new();
    let read = BufReader::new(program.stdout.take().unwrap()).read_line(&mut first);
    program.kill().unwrap();
    program.wait().unwrap();
    assert!(read.is_ok() && first.starts_with("http://127.0.0.1:"), "{line}: {first}");
    1
}

/// In the order of the commands, in a scratch folder: later ones use what earlier ones wrote.
#[test]
#[cfg(unix)]
fn every_example_runs_as_it_stands() {
    let home = tempfile::tempdir().unwrap();
    let mut ran = 0;
    for command in commands() {
        for line in examples(&command) {
            if command == "open" {
                ran += opened(&line, home.path());
                continue;
            }
            let Some(output) = run("bash", &line, home.path()) else {
                eprintln!("bash is not there: no example was run");
                return;
            };
            assert!(output.status.success(), "{line}\n{}", String::from_utf8_lossy(&output.stderr));
            ran += 1;
        }
    }
    assert!(ran >= 20, "{ran}");
    for written in ["press/job.toml", "costs.csv", "out/rips.csv", "count.csv", "press/boards.csv.bak"] {
        assert!(home.path().join(written).exists(), "{written}");
    }
    // The first steps under the command's own help, in a folder of their own.
    let help = slatwright(&["--help"]);
    let steps: Vec<&str> = help.split("First steps:\n").nth(1).unwrap().split("\n\n").next().unwrap().lines().collect();
    assert_eq!(steps.len(), 3);
    let other = tempfile::tempdir().unwrap();
    for step in steps {
        let output = run("bash", step, other.path()).unwrap();
        assert!(output.status.success(), "{step}\n{}", String::from_utf8_lossy(&output.stderr));
    }
}

#[test]
fn completions_know_every_command_for_every_shell() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = slatwright(&["completions", shell]);
        for word in commands().iter().map(String::as_str).chain(["seconds", "picked", "client"]) {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
    let unknown = Command::new(env!("CARGO_BIN_EXE_slatwright")).args(["completions", "tcsh"]).output().unwrap();
    assert_eq!(unknown.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&unknown.stderr).contains("possible values: bash"));
}

/// What Tab offers in bash after the words of a line, the last of them begun.
fn offered(line: &str) -> Option<Vec<String>> {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("s.bash"), slatwright(&["completions", "bash"])).unwrap();
    let words: Vec<&str> = line.split(' ').collect();
    let (begun, before) = (words[words.len() - 1], words[words.len() - 2]);
    let script = format!(
        ". ./s.bash; COMP_WORDS=({line}); COMP_CWORD={}; _slatwright slatwright '{begun}' '{before}'; \
         printf '%s\\n' \"${{COMPREPLY[@]}}\"",
        words.len() - 1
    );
    let output = run("bash", &script, home.path())?;
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(String::from_utf8(output.stdout).unwrap().lines().map(str::to_owned).collect())
}

#[test]
#[cfg(unix)]
fn bash_completes_commands_options_and_words() {
    for (line, expected) in [
        ("slatwright ch", vec!["check"]),
        ("slatwright c", vec!["check", "compare", "cloth", "completions", "count"]),
        ("slatwright plan --se", vec!["--seconds"]),
        ("slatwright count job.toml --pl", vec!["--plan"]),
        ("slatwright completions z", vec!["zsh"]),
    ] {
        let Some(mut offered) = offered(line) else {
            eprintln!("bash is not there: nothing was completed");
            return;
        };
        let mut expected = expected;
        offered.sort();
        expected.sort_unstable();
        assert_eq!(offered, expected, "{line}");
    }
}
