//! Every way in which a machine file can be wrong, and what is said.

use super::read;

const GOOD: &str = include_str!("../../../demo-farm/spreader/machine.toml");

/// What is said about the good file with one line replaced.
fn said(line: &str, instead: &str) -> String {
    assert!(GOOD.contains(line), "{line}");
    read("m.toml", &GOOD.replace(line, instead)).unwrap_err().to_string()
}

fn warned(line: &str, instead: &str) -> Vec<String> {
    assert!(GOOD.contains(line), "{line}");
    crate::report::warnings::said(&read("m.toml", &GOOD.replace(line, instead)).unwrap().warnings)
}

#[test]
fn the_demo_machine_is_plausible() {
    assert_eq!(read("m.toml", GOOD).unwrap().warnings, []);
}

#[test]
fn values_that_cannot_be() {
    let belt = r#"["3 ft/min", "60 ft/min"]"#;
    assert_eq!(
        said(belt, r#"["60 ft/min", "3 ft/min"]"#),
        "m.toml, machine.belt_speed: found 60 ft/min before 3 ft/min, \
         expected the least before the most; swap the two"
    );
    assert_eq!(
        said(belt, r#"["0 ft/min", "60 ft/min"]"#),
        "m.toml, machine.belt_speed: found 0 mph, expected more than zero; measure it on the machine"
    );
    assert_eq!(
        said(r#"swath = "40 ft""#, r#"swath = "-40 ft""#),
        "m.toml, machine.swath: found -40 ft, expected more than zero; measure it on the machine"
    );
    assert_eq!(
        said(r#"delay = "2 s""#, r#"delay = "-2 s""#),
        "m.toml, machine.rate_change_delay: found -2 s, expected zero or more; correct the sign"
    );
    assert_eq!(
        said(r#""92 %""#, r#""192 %""#),
        "m.toml, material.purity: found 192 %, expected 0 to 100 %; take it from the supplier's analysis"
    );
    for fill in ["0 %", "104 %"] {
        assert_eq!(
            said(r#""85 %""#, &format!("\"{fill}\"")),
            format!(
                "m.toml, machine.fill_factor: found {fill}, expected more than 0 and at most 100 %; \
                 weigh a load and have it worked out (landplaster spreader --weigh)"
            )
        );
    }
    assert_eq!(
        said(r#"full = "47.4 lb""#, r#"full = "2 lb""#),
        "m.toml, material.bucket_test: found full 2 lb, empty 2.1 lb, \
         expected the full bucket heavier than the empty one; weigh the bucket again"
    );
    assert_eq!(
        said(r#"purity = "92 %""#, "purity = \"92 %\"\nbulk_density = \"60 lb/ft3\""),
        "m.toml, material: found bulk_density and bucket_test, expected either bulk_density or \
         bucket_test; give the density as a number or the three numbers of a bucket test"
    );
    assert_eq!(
        said("constant_kind = \"mass-per-pulse\"", ""),
        "m.toml, machine.controller_constant: found 0.62 without constant_kind, expected a number \
         above zero with constant_kind; add constant_kind = \"mass-per-pulse\" or \
         \"pulses-per-mass\" beside it"
    );
}

#[test]
fn text_that_is_no_machine_file() {
    assert_eq!(
        said(r#"swath = "40 ft""#, "swath = 40"),
        "m.toml, line 4: found 40, expected a length in quotes with its unit, such as \"1 ft\""
    );
    assert_eq!(
        said(r#"swath = "40 ft""#, "swath = \"40 ft\"\nblades = 4"),
        "m.toml, line 5: found unknown key \"blades\"; known keys here: name, swath, belt_width, \
         belt_speed, gate_opening, gate_step, hopper_volume, legal_load, spinner_speed, \
         fill_factor, ground_speed, rate_change_delay, look_ahead, rate_rise, rate_fall, \
         rate_change, lands_behind, controller_constant, constant_kind"
    );
    assert_eq!(
        said("purity =", "puritty ="),
        "m.toml, line 21: found unknown key \"puritty\", did you mean \"purity\"?; \
         known keys here: name, bulk_density, bucket_test, moisture, purity"
    );
}

/// Bulk density outside 30 to 110 lb/ft3 is read, with a warning.
#[test]
fn values_that_are_not_plausible() {
    let heavy = warned(r#"full = "47.4 lb""#, r#"full = "87.1 lb""#);
    assert_eq!(
        heavy,
        ["m.toml, material.bucket_test, bulk density: found 127.169 lb/ft3, \
          expected 30 to 110 lb/ft3; check the number and its unit"]
    );
    let bucket =
        "[material.bucket_test]\nempty = \"2.1 lb\"\nfull = \"47.4 lb\"\nvolume = \"5 gal\"";
    let [light, edge] = ["29.9", "30"].map(|density| {
        let given = GOOD.replace(bucket, &format!("bulk_density = \"{density} lb/ft3\""));
        crate::report::warnings::said(&read("m.toml", &given).unwrap().warnings)
    });
    assert_eq!(
        light,
        ["m.toml, material.bulk_density: found 29.9 lb/ft3, expected 30 to 110 lb/ft3; \
          check the number and its unit"]
    );
    assert_eq!(edge, Vec::<String>::new());
    assert_eq!(warned(r#""850 rpm""#, r#""8500 rpm""#).len(), 1);
    assert_eq!(warned(r#"swath = "40 ft""#, r#"swath = "400 ft""#).len(), 1);
    assert_eq!(warned(r#"["6 mph", "10 mph"]"#, r#"["6 mph", "100 mph"]"#).len(), 1);
    assert_eq!(warned(r#""85 %""#, r#""8.5 %""#).len(), 1);
}
