//! What can go wrong while writing.

use std::io::Error;

use zip::result::ZipError;

use crate::document::PlateId;

/// Why something could not be written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// The plate is not in the job.
    #[error("plate {} is not in the job", .0.0)]
    UnknownPlate(PlateId),
    /// A copy's part, or that part's mesh, is not there.
    #[error("{copy} cannot be written: the mesh of part “{part}” is missing")]
    MissingMesh {
        /// "E 14".
        copy: String,
        /// The part's name.
        part: String,
    },
    /// A coordinate is beyond what can be written exactly.
    #[error("{what} cannot be written: a coordinate is not a number or beyond {limit_mm} mm")]
    TooFar {
        /// What has it.
        what: String,
        /// The limit.
        limit_mm: f64,
    },
    /// More than the format can count.
    #[error("{what} has more than {limit} triangles, which the file cannot count")]
    TooMany {
        /// What has them.
        what: String,
        /// The limit.
        limit: u64,
    },
    /// A picture that would not fit into memory.
    #[error("a picture of {width} × {height} pixels is too large")]
    TooLarge {
        /// Pixels across.
        width: u64,
        /// Pixels down.
        height: u64,
    },
    /// The package could not be put together.
    #[error("the package could not be written: {0}")]
    Package(#[from] ZipError),
    /// Bytes could not be appended.
    #[error("the file could not be written: {0}")]
    Bytes(#[from] Error),
    /// The table could not be written.
    #[error("the table could not be written: {0}")]
    Table(#[from] csv::Error),
    /// The values could not be written.
    #[error("the values could not be written: {0}")]
    Json(#[from] serde_json::Error),
    /// The drawing could not be made into a picture.
    #[error("the drawing could not be made into a picture: {0}")]
    Picture(String),
    /// The pages could not be made into a PDF.
    #[error("the PDF could not be written: {0}")]
    Pdf(String),
}

impl WriteError {
    /// What the system answered, where it is that: a full disk, a folder without permission.
    ///
    /// # Errors
    /// The error itself, where it is about what was to be written.
    pub fn into_io(self) -> Result<Error, Self> {
        match self {
            Self::Bytes(why) | Self::Package(ZipError::Io(why)) => Ok(why),
            Self::Table(why) if why.is_io_error() => match why.into_kind() {
                csv::ErrorKind::Io(why) => Ok(why),
                _ => Err(Self::Bytes(Error::other("a table"))),
            },
            Self::Json(why) if why.is_io() => Ok(why.into()),
            other => Err(other),
        }
    }
}
