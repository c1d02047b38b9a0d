//! One file for each command. Each takes its arguments and gives an [`super::Exit`] or a failure.

pub mod certify;
pub mod check;
pub mod choose;
pub mod compare;
pub mod explain;
pub mod keys;
pub mod limit;
pub mod many;
pub mod merge;
pub mod new;
pub mod part;
pub mod promise;
pub mod promised;
pub mod renew;
pub mod run;
pub mod sensitivity;
pub mod shell;
pub mod story;
pub mod sweep;
pub mod verify;
