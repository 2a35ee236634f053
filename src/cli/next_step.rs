//! What to do next, for every way in which a command can end without an answer. The files' own problems carry
//! theirs with them.

use crate::bill::BillError;
use crate::demand::DemandError;
use crate::offer::OfferError;
use crate::packing::boards::BoardShortage;
use crate::packing::cloth::ClothShortage;
use crate::plan::CannotPlan;
use crate::report::actuals::ActualsError;
use crate::report::folder::FolderError;
use crate::shopfloor::{FloorError, ReplaceError};

/// For a file that the system does not hand over.
pub(super) const READABLE: &str = "check the path and that you may read it";
/// For a file or folder that the system does not let be written.
pub(super) const WRITABLE: &str =
    "check that you may write there and that the disk is not full, or name another folder";
/// For a starter job that would fall on something of the user's.
pub(super) const ANOTHER_FOLDER: &str = "name another folder, such as `slatwright new press`";

/// After a job that cannot be done as asked.
pub(super) fn after_cannot(cannot: &CannotPlan) -> &'static str {
    match cannot {
        CannotPlan::Doors(_) => "change a figure in the job file; `slatwright check` says what would fix it",
        CannotPlan::Boards(BoardShortage::NoBoard(_), _) => {
            "add a board large enough to the boards file, or make the piece smaller in the job file"
        }
        CannotPlan::Boards(BoardShortage::RunsShort(_), _) => {
            "add a row for sale to the boards file (leave its `on_hand` empty), or count the rack again"
        }
        CannotPlan::Case(_) => "change lining or shelves in `[case]`; `slatwright check --all` shows the room there is",
        CannotPlan::Sheets(BoardShortage::NoBoard(_), _) => {
            "add a larger sheet of that material to the sheets file, or make the case smaller"
        }
        CannotPlan::Sheets(BoardShortage::RunsShort(_), _) => {
            "add a row for sale to the sheets file (leave its `on_hand` empty), or count the sheets again"
        }
        CannotPlan::Cloth(ClothShortage::TooWide(_), _) => {
            "add a wider bolt to the cloth file, or let the piece be turned: `turn = true` in its `[[cloth_piece]]` or \
             `[[cabinet]]`; `seam = true` in a `[[cabinet]]` makes two bands of a door's cloth, which meet under a slat"
        }
        CannotPlan::Cloth(ClothShortage::TooLong(_) | ClothShortage::RunsShort(_), _) => {
            "add a bolt for sale to the cloth file (leave its `on_hand_length` empty), or measure the remnants again"
        }
        CannotPlan::Demand(DemandError::TooManyStrips { .. }) => "lower the count or the reject rate in the job file",
        CannotPlan::Demand(DemandError::TooManySizes { .. }) => "split the job into files of fewer sizes each",
        CannotPlan::Demand(DemandError::TooManyPieces { .. } | DemandError::TooManyInAll { .. }) => {
            "lower the counts, or split the job into two files"
        }
        CannotPlan::Bill(BillError::TooLarge { .. }) => "lower the price or the quantity of that line",
        CannotPlan::Bill(BillError::Coverage { .. }) => "give that `[[consumable]]` of the shop file a size it covers",
        CannotPlan::Bill(BillError::UnknownStock { .. }) | CannotPlan::Rejected(_) => {
            "nothing was written; this is a fault of slatwright and not of the job: report it with the job's four files"
        }
    }
}

/// After a plan folder that was not written.
pub(super) fn after_folder(error: &FolderError) -> &'static str {
    match error {
        FolderError::NotAFolder(_) => "name a folder for the plan, such as `--out out`",
        FolderError::Nowhere(_) => "make the folder that the link leads to, or name another with `--out`",
        FolderError::Foreign { .. } => "move these files, or name another folder with `--out`",
        FolderError::Busy(_) => "wait for it, or name another folder with `--out`",
        FolderError::System(_) => WRITABLE,
    }
}

/// After a question from the shop floor.
pub(super) fn after_floor(error: &FloorError) -> &'static str {
    match error {
        FloorError::Files(_) => "fix the file and run it again",
        FloorError::NameTaken(_) => "give it a name of its own in the file of picked boards",
        FloorError::Folder { help, .. } | FloorError::Mismatch { help, .. } => help,
        FloorError::Cannot(cannot) => after_cannot(cannot),
        FloorError::Replace(ReplaceError::Changed(_)) => "look at the file and ask again",
        FloorError::Replace(ReplaceError::Busy(_)) => "wait for it and ask again",
        FloorError::Replace(ReplaceError::System(_)) => "check that you may write there and that the disk is not full",
    }
}

/// After an offer that was not made, found or changed.
pub(super) fn after_offer(error: &OfferError) -> String {
    let said = match error {
        OfferError::NoRevision { there, .. } => {
            let there: Vec<String> = there.iter().map(u32::to_string).collect();
            return format!("there is {}: `slatwright quote JOB --list` shows all", there.join(", "));
        }
        OfferError::NotFrozen => "freeze one first: `slatwright quote JOB --freeze`",
        OfferError::TooEarly { .. } => "give a later day with `--date`, or leave it out for today",
        OfferError::Edited { .. } => {
            "put these files back as they were, from a copy; nothing was written, and a changed offer is a new revision"
        }
        OfferError::Decided(_) => "freeze a new revision if the offer goes on: `slatwright quote JOB --freeze`",
        OfferError::TooMuch { .. } => "check the amount; what is paid beyond an offer belongs to a new revision",
        OfferError::Foreign(_) => "move it, and freeze again",
        OfferError::Busy(_) => "wait for it and ask again",
        OfferError::Changed(_) => "look at the file and freeze again",
        OfferError::Files(_) => {
            "put its lines back as they were; below the sealed part an event may be corrected by hand"
        }
        OfferError::Rack(error) => after_floor(error),
        OfferError::Replace(error) => match error {
            ReplaceError::Changed(_) => "look at the file and ask again",
            ReplaceError::Busy(_) => "wait for it and ask again",
            ReplaceError::System(_) => "check that you may write there and that the disk is not full",
        },
        OfferError::System(_) => "check that you may write there and that the disk is not full",
    };
    said.to_owned()
}

/// After a file of actuals that cannot be used.
pub(super) fn after_actuals(error: &ActualsError) -> &'static str {
    match error {
        ActualsError::Header => "begin it with the line `what,item,actual`; what is hours, boards, yards or cost",
        ActualsError::Row { .. } => {
            "write the row as `hours,ripping,2.5`, `boards,NAME,12`, `yards,BOLT,1.5` or `cost,delivery,85`"
        }
        ActualsError::TooLarge => "look for a figure with too many digits",
    }
}
