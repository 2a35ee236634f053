//! The examples under each command's `--help`. They follow one another in the order of the commands and use the
//! files that those before them wrote; a test runs them all.

/// Of the command as a whole: the first steps.
pub(super) const FIRST: &str = "\
First steps:
  slatwright new press
  slatwright check press/job.toml
  slatwright plan press/job.toml --out out

Every command has an example under its own --help.";

pub(super) const NEW: &str = "\
Example:
  slatwright new press";

pub(super) const CHECK: &str = "\
Examples:
  slatwright check press/job.toml
  slatwright check press/job.toml --all
  slatwright check press/job.toml --room \"30 x 11 x 26\"";

pub(super) const QUOTE: &str = "\
Examples:
  slatwright quote press/job.toml
  slatwright quote press/job.toml --client
  slatwright quote press/job.toml --csv > costs.csv

An offer that stands, what changed since, and what became of it:
  slatwright quote press/job.toml --freeze
  slatwright quote press/job.toml --since 1
  slatwright quote press/job.toml --revision 1 --client
  slatwright quote press/job.toml --accepted
  slatwright quote press/job.toml --list

What happened beside what was quoted:
  printf 'what,item,actual\\nhours,ripping,2.5\\n' > actuals.csv
  slatwright quote press/job.toml --actual actuals.csv";

pub(super) const COMPARE: &str = "\
Example:
  slatwright compare press/job.toml";

pub(super) const ESTIMATE: &str = "\
Examples:
  slatwright estimate press/job.toml
  slatwright estimate press/job.toml --inside '36 x 15-1/2 x 28' --count 2";

pub(super) const BUY: &str = "\
Examples:
  slatwright buy press/job.toml
  slatwright buy press/job.toml --worth
  slatwright buy press/job.toml --worth --card > worth.html";

pub(super) const RIP: &str = "\
Examples:
  slatwright rip press/job.toml

As it was planned into a folder, without packing anew:
  slatwright plan press/job.toml --out kept
  slatwright rip press/job.toml --plan kept";

pub(super) const CLOTH: &str = "\
Example:
  slatwright cloth press/job.toml";

pub(super) const PLAN: &str = "\
Examples:
  slatwright plan press/job.toml --out out
  slatwright plan press/job.toml --seconds 10 --out out";

#[cfg(feature = "open")]
pub(super) const OPEN: &str = "\
Examples (each goes on until Ctrl-C):
  slatwright open press/job.toml
  slatwright open press/job.toml --no-browser";

pub(super) const YARD: &str = "\
A board in hand, 9 in wide and 10 ft 1 in long: take it or leave it?
  echo 'stock,species,thickness,width,length,on_hand,price,per' > picked.csv
  echo 'in hand,cherry,4/4,9,121,,9.85,bf' >> picked.csv
  slatwright yard press/job.toml --picked picked.csv";

pub(super) const COUNT: &str = "\
A blank count of the plan in `out`, to be filled in, then what it comes to:
  slatwright count press/job.toml --plan out --blank > count.csv
  slatwright count press/job.toml --plan out --cut count.csv --out again";

pub(super) const RACK: &str = "\
What would change on the rack, then the change itself. With a count of the last
plan only boards counted whole are taken for cut, without one all of them:
  slatwright rack press/job.toml --plan out --rack press/boards.csv
  slatwright rack press/job.toml --plan out --rack press/boards.csv --update";

pub(super) const COMPLETIONS: &str = "\
Example, for this shell alone; examples/reference says where the script is kept:
  slatwright completions bash > slatwright.bash
  . ./slatwright.bash

The manual page, for `man ./slatwright.1`:
  slatwright completions man > slatwright.1";
