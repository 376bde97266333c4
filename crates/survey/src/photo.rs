//! Photos of printed markers: places of plates from one camera's photos.
//!
//! [`detect`] finds markers and refines their dots, [`flaws`] says which photos are blurred or cut markers off, [`survey`] makes poses of them, [`place`] lays the job's axes and the scale.

mod blur;
pub mod bundle;
pub mod camera;
mod codes;
pub mod decode;
pub mod detect;
pub mod dots;
pub mod flaws;
pub mod grey;
pub mod homography;
mod misfit;
pub mod place;
pub mod pose;
pub mod quads;
mod rounds;
pub mod start;
pub mod survey;
