//! What the files say, with the place of every word: texts, TOML tables and CSV rows, before any of it is
//! taken for a job.
//!
//! Reading never stops at the first fault. Every reader notes what is wrong on a shared desk and goes on,
//! so that a maker sees all problems of all files at once. What the figures mean is the job room's business.

mod boards_file;
mod case_file;
mod change_file;
mod cloth_file;
mod count_lines;
mod csv_table;
mod desk;
mod digest;
mod disk;
mod floor_files;
mod job_file;
mod lock;
mod near;
mod place;
mod price_file;
mod problem;
mod quote_file;
mod same_name;
mod sheets_file;
mod shop_file;
mod shown;
mod sources;
mod starter;
mod toml_table;
mod toml_values;
mod values;

pub(crate) use boards_file::{BoardRow, parse_defects, read_boards};
pub(crate) use case_file::{BackFile, CaseFile, EdgingFile, LiningFile, ShelvesFile};
pub(crate) use change_file::ChangeFile;
pub(crate) use cloth_file::{ClothRow, read_cloth};
pub(crate) use count_lines::{CountLine, Said, is_in_lines, read_count_lines};
#[cfg(feature = "open")]
pub(crate) use csv_table::cells_of;
pub(crate) use csv_table::parted_by;
pub(crate) use desk::Desk;
pub use digest::digest;
pub use disk::Refused;
pub(crate) use disk::{sync_folder, told, write_new};
pub(crate) use floor_files::{CountFile, HistoryFile, read_count_rows, read_history_rows};
pub(crate) use job_file::{
    CabinetFile, DoorFile, JobFile, LineFile, PieceFile, RateFile, SegmentFile, SlatsFile, SparesFile, StripFile,
    TrackFile,
};
pub(crate) use lock::{Lock, NoLock};
pub(crate) use near::nearest;
pub(crate) use place::{At, Entry, Head, Tables};
pub use place::{FileId, Place, Span};
pub(crate) use price_file::{GainFile, HoursFile, OperationFile, PriceFile, RatesFile};
pub use problem::{Kind, Problem, Problems};
pub(crate) use quote_file::{EventFile, QuoteFile};
pub(crate) use same_name::same_name;
pub(crate) use sheets_file::{SheetRow, read_sheets};
pub(crate) use shop_file::{
    AboutFile, CanvasFile, ClearanceFile, ConsumableFile, CuttingFile, LabourFile, OverlapFile, PanelsFile, ShopFile,
};
pub(crate) use shown::{guarded, steers, unguarded};
pub(crate) use sources::read_disk;
pub use sources::{LARGEST_CSV, LARGEST_TOML, SourceFile, Sources};
pub use starter::{StarterFile, starter};
pub(crate) use toml_table::open_table;
pub(crate) use values::shortened;
