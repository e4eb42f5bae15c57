//! Stepbite plans a progressive (stop-out) aquatint.
//!
//! A grained metal plate is bitten many times; before each bite the areas that have reached their tone are painted with stop-out
//! varnish, whites first, blacks never. N tones take N−1 bites and N−1 stop-outs. This crate turns a drawing into the tones, the
//! stop-outs and the times, shows the expected print, and writes the sheets to work from.
//!
//! # One way through
//!
//! ```text
//! drawing → tones → regions → stop-outs → bites → proof → sheets
//! ```
//!
//! Each stage is a pure function from plain values to a plain value; a module uses only what stands before it, and the shared ground
//! ([`units`], [`plane`], [`light`], [`plate`]). The whole separation is one raster, the [`tones::StepMap`]; every stop-out is a
//! threshold of it.
//!
//! # Words
//!
//! - tone 0 is never bitten (paper white), tone N−1 is the darkest;
//! - stop-out j covers `{ p : tone(p) < j }` and comes before bite j; what it newly paints is tone j−1;
//! - bite j is the passage from tone j−1 to tone j, `T_j − T_{j−1}`; strip and proof speak of totals T, the clock of bites;
//! - an edge between tones a < b is painted once, at stop-out a+1;
//! - lightness is absolute CIE L* of the dry print, perfect white = 100; averages are taken in linear light;
//! - PLATE VIEW is the metal face up, PRINT VIEW the pull: mirrors of each other. Rasters here are in print view unless they say otherwise.
//!
//! # What it does not do
//!
//! No acid recipes, no judgement of the picture, no network, no clock, no unseeded chance: equal inputs give equal bytes, on every target.

mod affine;
pub mod archive;
pub mod aside;
pub mod bands;
pub mod bath;
pub mod bed;
pub mod bites;
pub mod bits;
pub mod blots;
pub mod blur;
pub mod colour;
pub mod components;
pub mod curve;
pub mod day;
pub mod difference;
pub mod distance;
pub mod drawing;
pub mod edges;
pub mod face;
pub mod facing;
pub mod family;
pub mod film;
pub mod folder;
pub mod frozen;
pub mod fusing;
pub mod grain;
pub mod grids;
pub mod hand;
pub mod homography;
pub mod ink;
pub mod ink_zones;
pub mod islands;
pub mod joints;
pub mod jpeg_file;
pub mod laid;
pub mod laying;
pub mod lettering;
pub mod light;
pub mod lines;
pub mod log;
pub mod misfit;
pub mod opening;
pub mod outline;
pub mod overprint;
pub mod pace;
pub mod painted;
pub mod pairs;
pub mod papers;
pub mod pchip;
pub mod pdf;
pub mod photo;
pub mod picture;
pub mod piece;
pub mod placing;
pub mod plane;
pub mod plate;
pub mod png_file;
pub mod practice;
pub mod project;
pub mod proof;
pub mod pull;
pub mod pulled;
pub mod pulls;
mod read_me;
pub mod regions;
pub mod registration;
pub mod relief;
pub mod removed;
pub mod replan;
pub mod report;
pub mod reread;
pub mod resist;
pub mod rings;
pub mod row_picture;
pub mod rows;
pub mod seam;
pub mod second_plan;
pub mod seen;
pub mod shared_day;
pub mod sheet_svg;
pub mod sheets;
pub mod smoothing;
pub mod soft;
pub mod stopouts;
pub mod stopouts_svg;
pub mod strip;
pub mod strip_photo;
pub mod strip_plan;
mod svg;
pub mod table;
pub mod tones;
pub mod type_face;
pub mod under;
pub mod units;
pub mod view;
pub mod warp;
pub mod wear;
pub mod what_if;
pub mod witness;
pub mod worth;
