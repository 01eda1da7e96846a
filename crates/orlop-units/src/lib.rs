//! Physical quantities of a boat's direct-current system, and the text people write them in.
//!
//! This is the only crate that names the units library underneath. It gives
//!
//! * a curated list of quantities ([`Length`], [`Area`], [`Current`], ...) with constructors that say
//!   their unit ([`metres`], [`amperes`], ...),
//! * types of their own where the dimension is not the meaning ([`Temperature`] against
//!   [`TemperatureRise`], [`OneWay`] against [`Loop`], [`Fraction`]),
//! * one grammar to read them ([`parse`], [`AnyQuantity::parse`]) and one to print them ([`show`],
//!   [`exact`]),
//! * the exact names of conductor sizes ([`ConductorSize`]), which are never compared as floats.
//!
//! ```
//! use orlop_units::{parse, show, Length};
//! let run: Length = parse("12 ft 6 in", "one_way").unwrap();
//! assert_eq!(show(run), "3.81 m");
//! let wrong = parse::<Length>("12 V", "one_way").unwrap_err();
//! assert_eq!(
//!     wrong.to_string(),
//!     "one_way: expected a length (m, cm, mm, km, ft, in), got '12 V', a voltage"
//! );
//! ```

mod any;
mod error;
mod kind;
mod parse;
mod quantity;
mod show;
mod size;
#[cfg(any(feature = "proptest", test))]
pub mod strategy;
pub mod text;

pub use any::AnyQuantity;
pub use error::UnitError;
pub use kind::{Kind, Unit};
pub use parse::{parse, parse_number};
pub use quantity::*;
pub use show::{exact, plain_number, show, show_range, show_si, significant};
pub use size::{ConductorSize, SizeSystem};
