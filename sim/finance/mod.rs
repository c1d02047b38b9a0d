//! Money over years: compound interest, present values, paybacks, break-even points.
//!
//! In: rates as fractions a year, years, and cash flows as bare numbers. Out: bare numbers, `None`
//! where there is no answer. Nothing here knows what is simulated, nor chance.
//!
//! Conventions, everywhere: the first cash flow falls at t = 0 and is not discounted; every later one
//! falls at the end of its year (spreadsheets discount the first value too: theirs is ours divided by
//! one plus the rate). Money spent is negative, money received positive. No inflation and no tax: a
//! rate above inflation goes with amounts of today.

mod break_even;
mod cash_flow;
mod factors;
mod purchase;

pub use break_even::{crossing, zero_between};
pub use cash_flow::{discounted_payback, internal_rate, net_present_value, simple_payback};
pub use factors::{
    capital_recovery, compound_amount, present_worth, series_compound_amount, series_present_worth,
    sinking_fund,
};
pub use purchase::{Purchase, discounted_payback_years, payback_years};
