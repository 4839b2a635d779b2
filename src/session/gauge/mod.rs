//! Machine-code files beside the plate they were made from.
//!
//! - [`is_code`], [`code_files`], [`no_code_in`], [`refusal`]: which files, and why not
//! - [`Gauging`]: one file; [`GaugedFolder`], [`GaugedFile`]: a folder of them by their time; `measure`; `compare`

pub(super) mod code_files;
mod compare;
mod folder;
mod gauging;
mod measure;

pub use code_files::{CODE_ENDINGS, code_files, is_code, no_code_in, refusal};
pub use folder::{GaugedFile, GaugedFolder};
pub use gauging::Gauging;
