//! Numbers in words, for all panels alike: columns are narrow, so times are short.

pub(crate) use crate::words::{copies, cost, length, mass, time as long_time, time_short as time};
