//! What a farm shares, put into a job.

use std::path::Path;

use toml::{Table, Value};

use crate::path_text::shown;
use crate::units::System;

/// Keys of a job that are paths when they are not tables.
const PATHS: [&str; 6] = ["boundary", "samples", "laboratory", "spreader", "pans", "weigh_tests"];
/// Keys of a job's tables that are.
const PATHS_IN_TABLES: [&str; 2] = ["file", "access"];
/// A price and what it is for: a job that says one of them has said both.
const PRICES: [[&str; 2]; 2] = [["product", "product_per"], ["spreading", "spreading_per"]];

/// Makes a job's paths relative to the farm file: `folder` leads from there to the job.
pub fn rebase(table: &mut Table, folder: &Path) {
    for (key, value) in table.iter_mut() {
        match value {
            Value::String(path) if PATHS.contains(&key.as_str()) => *path = from(folder, path),
            other => rebase_files(other, folder),
        }
    }
}

fn rebase_files(value: &mut Value, folder: &Path) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(|item| rebase_files(item, folder)),
        Value::Table(table) => {
            for (key, value) in table.iter_mut() {
                match value {
                    Value::String(path) if PATHS_IN_TABLES.contains(&key.as_str()) => {
                        *path = from(folder, path);
                    }
                    other => rebase_files(other, folder),
                }
            }
        }
        _ => {}
    }
}

fn from(folder: &Path, path: &str) -> String {
    // One that makes no sense is told where the job is understood.
    let path = super::super::path::of_text(path).unwrap_or_else(|_| path.into());
    shown(folder.join(path))
}

/// Writes out what the farm's prices are for, by the farm's units: a job that they stand in may have
/// others.
pub fn state_prices(shared: &mut Table, system: System) {
    let Some(Value::Table(prices)) = shared.get_mut("prices") else { return };
    let units = match system {
        System::Us => ["ton", "acre"],
        System::Metric => ["tonne", "hectare"],
    };
    for ([price, per], unit) in PRICES.into_iter().zip(units) {
        if prices.contains_key(price) {
            prices.entry(per).or_insert_with(|| unit.into());
        }
    }
}

/// Puts in what is shared where a job says nothing.
pub fn stand_in(job: &mut Table, shared: &Table) {
    let said: Vec<String> = job.keys().cloned().collect();
    for (key, value) in shared {
        match (job.get_mut(key), value) {
            (Some(Value::Table(own)), Value::Table(shared)) => stand_in(own, shared),
            (None, _) if !is_said(key, &said) => {
                job.insert(key.clone(), value.clone());
            }
            _ => {}
        }
    }
}

/// Whether a price, or what it is for, is among the keys with the other one.
fn is_said(key: &str, said: &[String]) -> bool {
    let mut pairs = PRICES.iter().filter(|pair| pair.contains(&key));
    pairs.any(|pair| said.iter().any(|said| pair.contains(&said.as_str())))
}
