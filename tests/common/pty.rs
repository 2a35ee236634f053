//! A pseudo-terminal that a command may be started on.

use std::fs::{File, OpenOptions};
use std::io::Read;
use std::os::fd::OwnedFd;

use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{Winsize, tcsetwinsize};

/// The terminal, and the screen of so many columns that a command writes to.
pub(crate) fn terminal(columns: u16) -> (OwnedFd, File) {
    let terminal = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
    grantpt(&terminal).unwrap();
    unlockpt(&terminal).unwrap();
    let name = ptsname(&terminal, Vec::new()).unwrap().into_string().unwrap();
    let screen = OpenOptions::new().read(true).write(true).open(name).unwrap();
    tcsetwinsize(&screen, Winsize { ws_row: 24, ws_col: columns, ws_xpixel: 0, ws_ypixel: 0 }).unwrap();
    (terminal, screen)
}

/// All that is written to its screen until the last who holds that has ended.
pub(crate) fn shown_on(terminal: OwnedFd) -> String {
    let (mut shown, mut terminal) = (Vec::new(), File::from(terminal));
    let mut some = [0; 4096];
    // Once the command has ended, some systems call that an error and others the end.
    while let Ok(more @ 1..) = terminal.read(&mut some) {
        shown.extend_from_slice(&some[..more]);
    }
    String::from_utf8_lossy(&shown).into_owned()
}
