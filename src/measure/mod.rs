//! Exact quantities of the shop: lengths, volumes, board feet, lumber thicknesses, money.
//!
//! Every quantity is a whole number of its smallest unit, so sums are exact and the same on every
//! machine. Each meaning has a type of its own: a [`Length`] cannot be added to a [`Cents`].

mod apportion;
mod board_feet;
mod date_text;
mod force;
mod length;
mod length_text;
mod money;
mod ratio;
mod thickness;

pub(crate) use apportion::apportion;
pub use board_feet::{Area, Volume};
pub(crate) use board_feet::{NM3_PER_BOARD_FOOT, NM3_PER_M3};
pub use date_text::date_numbers;
pub use force::{force, force_unit, show_force, show_weight};
pub use length::{Length, Units};
pub(crate) use length_text::decimal_point;
pub use length_text::{LengthError, parse_length};
pub use money::{Cents, Price, PriceError};
pub use ratio::{Ratio, RatioError};
pub use thickness::{Quarters, StockThickness, ThicknessError, parse_thickness};
