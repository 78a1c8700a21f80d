mod days;
mod duplicates;
mod mass;

use super::columns::{Spellings, WantedColumn, absent, find};
use super::sheets::TableSearch;
use super::table::{Row, Table};
use super::{ReadError, Source, formats};
use crate::faults::Faults;
use crate::reconcile::Ticket;
use crate::warning::Warning;

const DATE: WantedColumn =
    WantedColumn { what: "date", key: "date", spellings: Spellings::Tiers(&[&["date", "day"]]) };
const FIELD: WantedColumn =
    WantedColumn { what: "field", key: "field", spellings: Spellings::Tiers(&[&["field", "job"]]) };

/// Reads weigh tickets: a table with a date, a field and a mass, whose header says the unit, such
/// as `tons`, `net lb` or `mass (t)`. The mass is in the column that is named, else in the only one
/// with a unit of mass that has "net" in its name, else in the only one that is neither gross nor tare.
///
/// # Errors
/// When the file cannot be read, a column is absent, a date is not one of the calendar or may be two,
/// a mass is not a number above 0 or more than a truck carries, a ticket is there twice, or the
/// tickets are of more than a year.
pub fn tickets(
    source: &Source,
    tons: Option<&str>,
) -> Result<(Vec<Ticket>, Vec<Warning>), ReadError> {
    let table = formats::table(source, None, &TableSearch::default())?;
    let needed = |wanted: &WantedColumn| {
        let expected = || format!("\"{}\"", wanted.key);
        find(&table, wanted, None)?
            .ok_or_else(|| absent(&table, wanted.what, expected(), String::new()))
    };
    let mut absent = Faults::default();
    let columns = (needed(&DATE), needed(&FIELD), mass::column(&table, tons));
    absent.see(&columns.0);
    absent.see(&columns.1);
    absent.see(&columns.2);
    absent.all()?;
    let (date, field, (mass, unit)) = (columns.0?, columns.1?, columns.2?);
    let mut faults = Faults::default();
    faults.see(&mass::one_decimal_mark(&table, mass));
    faults.see(&duplicates::refuse(&table));
    // Who weighs in tons or pounds writes the month first.
    let usual = mass::is_us(unit).then_some(days::Order::MonthFirst);
    let order = days::order(&table, date, usual);
    faults.see(&order);
    let (order, told) = order.unwrap_or_default();
    let mut tickets: Vec<Ticket> = Vec::new();
    for row in &table.rows {
        let date = faults.of(days::day(&table, row, date, order));
        let field = faults.of(filled(&table, row, field));
        let mass = faults.of(mass::of(&table, row, mass, unit));
        if let (Some(date), Some(field), Some(mass)) = (date, field, mass) {
            tickets.push(Ticket { place: row.place.clone(), date, field, mass });
        }
    }
    faults.see(&days::one_season(&tickets));
    faults.all().map(|()| (tickets, table.warnings.into_iter().chain(told).collect()))
}

fn bad(table: &Table, row: &Row, column: usize, expected: &'static str) -> ReadError {
    ReadError::BadCell {
        place: row.place.clone(),
        column: table.header(column).to_owned(),
        value: row.cell(column).to_owned(),
        expected,
    }
}

fn filled(table: &Table, row: &Row, column: usize) -> Result<String, ReadError> {
    match row.cell(column) {
        "" => Err(bad(table, row, column, "the field's name")),
        name => Ok(name.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<(Vec<Ticket>, Vec<Warning>), ReadError> {
        tickets(&Source::of("t.csv", text), None)
    }

    fn said(text: &str) -> String {
        read(text).unwrap_err().to_string()
    }

    #[test]
    fn units_stand_in_the_header() {
        for (header, value) in [("tons", "1"), ("net lb", "2000"), ("mass (kg)", "907.18474")] {
            let (tickets, warnings) =
                read(&format!("Date,Field,{header}\n2026-04-14,home,{value}\n")).unwrap();
            assert!((tickets[0].mass.as_tons() - 1.0).abs() < 1e-12, "{header}");
            assert_eq!((tickets[0].field.as_str(), warnings.len()), ("home", 0));
        }
    }

    #[test]
    fn dates_as_people_write_them() {
        let days = |unit: &str, days: &[&str]| {
            let rows = days.iter().zip(1..).map(|(day, n)| format!("{day};a;{n}\n"));
            read(&format!("date;field;{unit}\n{}", rows.collect::<String>())).map(|(all, told)| {
                let days = all.into_iter().map(|ticket| ticket.date).collect::<Vec<_>>();
                (days, told.first().map(Warning::gravity))
            })
        };
        let know = Some(crate::warning::Gravity::Know);
        for (unit, written, expected, gravity) in [
            ("tons", ["4/14/2026", "4/5/26"], ["2026-04-14", "2026-04-05"], know),
            ("t", ["14/4/2026", "05/04/2026 07:15"], ["2026-04-14", "2026-04-05"], know),
            ("t", ["5.4.2026", "14.04.26"], ["2026-04-05", "2026-04-14"], know),
            ("tons", ["4-14-2026", "2026-04-05T10:12"], ["2026-04-14", "2026-04-05"], know),
            ("tons", ["2026-04-14", "2026-04-05"], ["2026-04-14", "2026-04-05"], None),
            // No number shows it: by the unit, and told to be looked at.
            (
                "net lb",
                ["4/5/2026", "4/6/2026"],
                ["2026-04-05", "2026-04-06"],
                Some(crate::warning::Gravity::Look),
            ),
        ] {
            let (found, told) = days(unit, &written).unwrap();
            assert_eq!(found, expected, "{written:?}");
            assert_eq!(told, gravity, "{written:?}");
        }
        let both = days("tons", &["4/14/2026", "14/4/2026"]).unwrap_err().to_string();
        assert!(both.contains("expected one order of day and month throughout"), "{both}");
        let either = days("t", &["4/5/2026"]).unwrap_err().to_string();
        assert!(either.contains("which number is the day"), "{either}");
    }

    #[test]
    fn thousands_as_tickets_have_them() {
        let mass = |cell: &str| {
            let text = format!("date,field,net lb\n2026-04-14,a,\"{cell}\"\n");
            read(&text).map(|(tickets, _)| tickets[0].mass.as_tons())
        };
        assert!((mass("47,580").unwrap() - 23.79).abs() < 1e-9);
        assert!((mass("47,580.0").unwrap() - 23.79).abs() < 1e-9);
        for cell in ["47,58", "4,7580", ",580", "47,580,0"] {
            assert!(mass(cell).unwrap_err().to_string().contains("47,580"), "{cell}");
        }
    }

    #[test]
    fn faults_are_named() {
        assert_eq!(
            said("date,field,weight\n"),
            "t.csv: found no mass column, expected one with its unit, such as \"tons\" or \"net lb\"; the columns are \"date\", \"field\", \"weight\""
        );
        assert_eq!(
            said("when,field,tons\n"),
            "t.csv: found no date column, expected \"date\"; the columns are \"when\", \"field\", \"tons\""
        );
        let row = |row: &str| said(&format!("date,field,tons\n{row}\n"));
        assert_eq!(
            row("4/31/2026,a,1"),
            "t.csv, row 2, column \"date\": found \"4/31/2026\", expected a date, such as 2026-04-14 or 4/14/2026"
        );
        assert_eq!(
            row("2026-04-14,a,ten"),
            "t.csv, row 2, column \"tons\": found \"ten\", expected a number"
        );
        assert_eq!(
            row("2026-04-14,a,-1"),
            "t.csv, row 2, column \"tons\": found \"-1\", expected a number above 0"
        );
        assert_eq!(
            row("2026-04-14,,1"),
            "t.csv, row 2, column \"field\": found \"\", expected the field's name"
        );
    }
}
