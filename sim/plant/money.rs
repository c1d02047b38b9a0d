//! What things cost and bring, where the author tells it.
//!
//! Everything is optional: `None` is "not told", never nothing. [`Money::gaps`] says in words what is not
//! told, so that no result passes over it in silence.

/// Money in a cell, in the currency of the reader.
#[derive(Debug, Clone, PartialEq)]
pub struct Money {
    /// Interest a year, as a fraction.
    pub rate: Option<f64>,
    /// Yearly differences within this count as none, money a year; 0 for none of them.
    pub equal_within: f64,
    /// Weeks a year that are like the measured ones.
    pub weeks: f64,
    /// Paid on top of the labour rate in overtime, as a fraction.
    pub overtime: f64,
    /// By machine, in floor order: an hour of use (energy, wear), money.
    pub machine_hour: Vec<Option<f64>>,
    /// By pool: an hour of a person's presence, money.
    pub labour_hour: Vec<Option<f64>>,
    /// By product: bought-in parts of 1,000 good pouches, money.
    pub extras_per_thousand: Vec<Option<f64>>,
    /// Some laminate in use has a price.
    pub has_material: bool,
    /// Getting rid of lost web, money per kg.
    pub disposal_per_kg: Option<f64>,
    /// By class: an order that is a day late, money.
    pub late_per_day: Vec<Option<f64>>,
    /// By class: what 1,000 good pouches bring before the costs told here, money.
    pub margin_per_thousand: Vec<Option<f64>>,
    /// By class: paid on top for 1,000 good pouches, money.
    pub premium_per_thousand: Vec<Option<f64>>,
    /// By class: what 1,000 pouches cost that another shop makes, money.
    pub outside_per_thousand: Vec<Option<f64>>,
    /// Good pouches beyond the ordered quantity are paid.
    pub overs_paid: f64,
    /// What has to be bought: machines and everything else with a price.
    pub purchases: Vec<Bought>,
    /// What is not told and therefore not in the figures, in words.
    pub gaps: Vec<String>,
}

/// Something bought for the cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Bought {
    /// Name of the machine or of the purchase.
    pub name: String,
    /// Paid at the start, money; 0 for what is there already.
    pub capital: f64,
    /// Years of use.
    pub life_years: f64,
    /// What is left of it at the end of its life, money.
    pub residual: f64,
    /// Floor space, service, insurance and the like, money a year.
    pub yearly: f64,
}
