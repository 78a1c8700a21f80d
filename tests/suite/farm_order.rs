//! The order of a farm as the program is run: the fields' orders together.

use std::fs;

use serde_json::{Value, json};

use crate::farm::farm;
use crate::folder::{FIELD, Folder, JOB, demo};

const JOBS: &str = "farm = \"Home Farm\"\njobs = [\"a.toml\", \"b.toml\", \"north/c.toml\"]\n";
const TIER: &str = "[[tier]]\nlabel = \"all\"\nrate = \"1 ton/ac\"\n";
const ORDER: &str = "[order]\ndelivery = \"8 tons\"\n[prices]\nproduct = 40\nspreading = 10\n";

/// Three jobs on the same field, at one rate; what the farm shares, and what b.toml says itself.
fn ordered(shared: &str, own: &str) -> (Folder, String) {
    let folder = farm();
    folder.put("machine.toml", fs::read(demo("spreader/machine.toml")).unwrap());
    folder.put("b.toml", format!("units = \"metric\"\n{JOB}{own}"));
    folder.put("farm.toml", format!("{JOBS}{shared}{TIER}"));
    let said = folder.run(&["plan", "farm.toml"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(FIELD.contains("-85.1976, 40.4018"), "the field of the figures below");
    (folder, said.out)
}

fn totals(folder: &Folder, of: &str) -> Value {
    serde_json::from_str(&folder.read(&format!("plans/{of}"))).unwrap()
}

fn line<'a>(said: &'a str, start: &str) -> &'a str {
    said.lines().find(|line| line.starts_with(start)).unwrap_or("")
}

/// By GeographicLib 2.1 the field is 10.0629 ac, so 10.06 ton a field, or 9.13 t, again 10.06 ton.
/// By hand: trucks of 8 ton are two a field, six; the 30.18 ton of all take four, which bring 32. A
/// field's product is 40 x 10.0629 = 402.52, its spreading 100.63, whatever it is printed in.
#[test]
fn the_farm_s_order_is_told_and_written() {
    let (folder, said) = ordered(ORDER, "");
    assert_eq!(
        line(&said, "Order"),
        "Order for the farm: 30.18 tons; 4 deliveries of 8.00 tons, 32.00 tons delivered, 1.82 surplus; 6 if each field were ordered by itself."
    );
    assert_eq!(
        line(&said, "Cost"),
        "Cost of the maps for the farm: product 1,207.20 + spreading 301.80 = 1,509.00. One rate for each whole field: product 1,207.20 + spreading 301.80 = 1,509.00; the maps cost the same."
    );
    assert!(!said.contains("Spreading for"), "there is no spreader");
    let table: Vec<&str> = said.lines().skip(2).take(7).collect();
    assert_eq!(table[0], "  field       acres   tons    low   high   flat  order  trucks");
    assert_eq!(table[6], "  whole farm  30.18  30.18  30.18  30.18  30.18  30.18       4");
    assert!(table.iter().all(|row| row.chars().count() <= 100), "{said}");
    let farm = totals(&folder, "Home Farm/farm.json");
    let cost = json!({ "product": 1207.2, "spreading": 301.8, "total": 1509.0 });
    assert_eq!(
        farm["order"],
        json!({
            "fields": 3, "tons_ordered": 30.18, "tons_ordered_low": null, "tons_ordered_high": null,
            "deliveries": {
                "fields": 3, "tons_per_delivery": 8.0, "count": 4, "tons_delivered": 32.0, "count_by_field": 6,
                "one_truck_less": { "trucks": 3, "tons_margin": -6.18, "taken": false }
            },
            "spreading": null,
            "money": { "fields": 3, "variable": cost, "flat": cost, "variable_over_flat": 0.0 },
        })
    );
    let metric = &totals(&folder, "b/totals.json")["order"];
    assert_eq!(metric["planned"]["tonnes_ordered"], 9.13);
    assert_eq!(metric["money"]["variable"]["product"], 402.4);
    let csv = folder.read("plans/Home Farm/farm.csv");
    let ends: Vec<&str> = csv.lines().map(|l| l.splitn(12, ',').last().unwrap()).collect();
    assert_eq!(
        ends[0],
        "tons_ordered,tons_ordered_low,tons_ordered_high,trucks,loads,hours_least,hours_most,cost,flat_rate_cost"
    );
    assert_eq!(ends[2], "10.06,,,2,,,,503.00,503.00");
    assert_eq!(ends.last().unwrap(), &"30.18,,,4,,,,1509.00,1509.00");
}

/// Trucks of 8 and of 5 ton: 2, 3 and 2 of them, which bring 16, 15 and 16 ton.
#[test]
fn other_payloads_are_told() {
    let (_, said) = ordered(ORDER, "[order]\ndelivery = \"5 tons\"\n");
    assert_eq!(
        line(&said, "Order"),
        "Order for the farm: 30.18 tons; 7 deliveries, 47.00 tons delivered, each field's by themselves: the fields state different payloads."
    );
}

/// One field alone has an order, the spreader and no prices.
#[test]
fn how_many_have_an_order_is_told() {
    let own = "spreader = \"machine.toml\"\n[order]\n";
    let (folder, said) = ordered("", own);
    assert_eq!(line(&said, "Order"), "Order for 1 of 3 fields: 10.06 tons.");
    let spread = line(&said, "Spreading for");
    assert!(spread.starts_with("Spreading for 1 of 3 fields: 2 loads, "), "{spread}");
    assert_eq!(line(&said, "Cost"), "");
    assert_eq!(totals(&folder, "Home Farm/farm.json")["fields"][0]["order"], Value::Null);
    let (_, said) = ordered("", "");
    assert!(!said.contains("Order") && !said.contains("trucks"), "{said}");
    let (_, said) = ordered("[order]\n", "[order]\ndelivery = \"8 tons\"\n");
    assert!(
        line(&said, "Order").ends_with(
            "; 2 deliveries, 16.00 tons delivered, each field's by themselves: 1 of 3 fields state a payload."
        ),
        "{said}"
    );
}

#[test]
fn a_fault_of_the_shared_order_names_the_farm_file() {
    let folder = farm();
    folder.put("farm.toml", format!("{JOBS}[order]\ndelivery = \"0 tons\"\n"));
    let said = folder.run(&["plan", "farm.toml"]);
    assert_eq!(
        (said.code, said.err.as_str()),
        (
            2,
            "error: farm.toml, [order] delivery: found 0.00 tons, expected 0.1 tons to 200 tons (0.09 t to 181 t)\n"
        )
    );
    folder.put("farm.toml", format!("{JOBS}[order]\nbasis = \"pure gypsum\"\n"));
    let said = folder.run(&["plan", "farm.toml"]);
    assert!(
        said.err.contains(
            "  a.toml: a.toml with farm.toml, [order] purity: found none, expected one such as purity = \"92 %\", or a spreader file, to turn pure gypsum into product\n"
        ),
        "{}",
        said.err
    );
}
