//! A quote frozen from the page: the same revision that the command writes.

use std::path::Path;

use super::Hands;
use super::plans::Planned;
use crate::offer::{self, Freezing};
use crate::report;

/// Freezes the plan as the next revision; says which, or why there is none.
pub(super) fn freeze(path: &Path, planned: &Planned, hands: &Hands) -> Result<String, String> {
    let (job, plan) = (&planned.laid.job, &planned.plan);
    let content = |head| -> offer::Files<'_> {
        let screens = [
            ("quote.txt".to_owned(), (hands.quote)(job, plan, Some(head)).into_bytes()),
            ("client.txt".to_owned(), (hands.client)(job, plan, Some(head)).into_bytes()),
        ];
        let planned = report::each_file(job, plan, Some(head));
        Box::new(screens.into_iter().chain(planned.map(|(name, bytes)| (format!("plan/{name}"), bytes))))
    };
    let freezing = Freezing { path, job, files: &planned.laid.files, plan, date: (hands.today)() };
    let frozen = offer::freeze(&freezing, &content).map_err(|error| error.to_string())?;
    let (number, revision) = (frozen.head.number, frozen.head.revision);
    let total = frozen.total.marked(&frozen.currency);
    Ok(format!("Frozen as revision {revision} of quote {number}: {} {total}.", frozen.currency))
}
