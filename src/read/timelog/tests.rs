//! Logs written here byte by byte from the layout that `records` and `header` describe.

use std::fmt::Write as _;

use super::*;
use crate::timelog::{MassSource, State, ValueChange};

/// A binary file, field by field.
#[derive(Default)]
struct Bytes(Vec<u8>);

impl Bytes {
    /// 2026-04-14 is 16,905 days after 1980-01-01 (`date` of GNU coreutils).
    fn time(mut self, milliseconds: u32) -> Self {
        self.0.extend(milliseconds.to_le_bytes());
        self.0.extend(16_905_u16.to_le_bytes());
        self
    }

    fn at(mut self, north: i32, east: i32) -> Self {
        self.0.extend(north.to_le_bytes());
        self.0.extend(east.to_le_bytes());
        self
    }

    fn raw(mut self, bytes: &[u8]) -> Self {
        self.0.extend(bytes);
        self
    }

    fn values(mut self, values: &[(u8, i32)]) -> Self {
        self.0.push(u8::try_from(values.len()).unwrap());
        for (index, value) in values {
            self.0.push(*index);
            self.0.extend(value.to_le_bytes());
        }
        self
    }
}

const MAIN_XML: &str = r#"<ISO11783_TaskData VersionMajor="4" VersionMinor="3">
<DVC A="DVC-1" B="somebody's spreader" D="A00080000CE0D0F0">
<DET A="DET-1" B="1" C="1" E="0" F="0"/>
<DET A="DET-2" B="2" C="2" E="1" F="1"><DOR A="11"/></DET>
<DPT A="11" B="0043" C="12192"/>
</DVC>
<TSK A="TSK-1" B="gypsum" G="4"><TLG A="TLG00001" C="1"/></TSK>
</ISO11783_TaskData>"#;

fn task(header: &str, bytes: &[u8]) -> Files {
    [
        ("TASKDATA.XML", MAIN_XML.as_bytes()),
        ("TLG00001.XML", header.as_bytes()),
        ("tlg00001.bin", bytes),
    ]
    .map(|(name, bytes)| (name.to_owned(), bytes.to_vec()))
    .into()
}

const HEADER: &str = r#"<TIM A="" D="4"><PTN A="" B="" D=""/>
<DLV A="0006" B="" C="DET-2"/><DLV A="0007" B="" C="DET-2"/><DLV A="008D" B="1" C="DET-1"/></TIM>"#;

fn read(files: &Files) -> (Vec<Log>, Vec<String>) {
    let (logs, warnings) = logs("job.zip", files, None).unwrap();
    (logs, crate::report::warnings::said(&warnings))
}

#[test]
fn a_log_by_hand() {
    let bytes = Bytes::default()
        .time(28_800_000)
        .at(404_000_000, -852_000_000)
        .raw(&[4])
        .values(&[(0, 224_170), (1, 0)])
        .time(28_801_000)
        .at(404_000_360, -852_000_000)
        .raw(&[4])
        .values(&[])
        .time(28_802_000)
        .at(0, 0)
        .raw(&[0])
        .values(&[(1, 223_000)]);
    let (logs, said) = read(&task(HEADER, &bytes.0));
    let [log] = logs.as_slice() else { panic!("one log") };
    assert_eq!(log.name, "job.zip, TLG00001");
    let times: Vec<u64> = log.stamps.iter().map(|stamp| stamp.time).collect();
    let day = 16_905 * 86_400_000;
    assert_eq!(times, [day + 28_800_000, day + 28_801_000, day + 28_802_000]);
    assert_eq!(log.stamps[0].day(), "2026-04-14");
    let at = log.stamps[1].at.unwrap();
    assert!((at.y - 40.400_036).abs() < 1e-9 && (at.x + 85.2).abs() < 1e-9);
    assert_eq!(log.stamps[2].at, None);
    assert_eq!(
        said,
        [
            "job.zip, TLG00001: 1 of 3 records have no position (no satellite fix); the way between the others is taken as straight"
        ]
    );
    let [machine] = log.machines.as_slice() else { panic!("one machine") };
    let [section] = machine.sections.as_slice() else { panic!("one section") };
    assert_eq!(machine.by(), Some(MassSource::Rate));
    assert!((section.width.otherwise.unwrap().as_feet() - 40.0).abs() < 1e-9);
    let mut state = State::before(log);
    assert_eq!(section.is_on(&state), Some(true), "a fixed value holds from the beginning");
    state.go_to(1, |_, _| ());
    assert_eq!(
        [section.set, section.actual].map(|c| state.get(c.unwrap())),
        [Some(224_170), Some(0)]
    );
    state.go_to(2, |_, _| ());
    assert_eq!(state.get(1), Some(223_000));
}

/// All nine fields of a position, in each of them stored, fixed or absent: 3^9 headers. What is
/// stored takes the bytes that the layout says; the place and the value after it come out.
#[test]
fn headers_of_all_shapes() {
    let fields = ["A", "B", "C", "D", "E", "F", "G", "H", "I"];
    let stored: [&[u8]; 9] = [
        &404_000_000_i32.to_le_bytes(),
        &(-852_000_000_i32).to_le_bytes(),
        &[1; 4],
        &[2],
        &[3; 2],
        &[4; 2],
        &[5],
        &[6; 4],
        &[7; 2],
    ];
    let fixed = ["40.4", "-85.2", "1", "2", "3.1", "4.5", "5", "6", "7"];
    for shape in 0..3_usize.pow(9) {
        let kind = |field: usize| shape / 3_usize.pow(u32::try_from(field).unwrap()) % 3;
        let (mut attributes, mut bytes) = (String::new(), Bytes::default().time(1000));
        for (field, letter) in fields.iter().enumerate() {
            match kind(field) {
                0 => {}
                1 => {
                    write!(attributes, " {letter}=\"\"").unwrap();
                    bytes = bytes.raw(stored[field]);
                }
                _ => write!(attributes, " {letter}=\"{}\"", fixed[field]).unwrap(),
            }
        }
        let bytes = bytes.values(&[(1, -7)]);
        let header = format!(
            "<TIM A=\"\" D=\"4\"><PTN{attributes}/><DLV A=\"0006\" C=\"DET-2\"/><DLV A=\"0007\" C=\"DET-2\"/></TIM>"
        );
        let header = Header::of(&parse("h", header.as_bytes()).unwrap()).unwrap();
        let whole = records::whole(&header, &bytes.0);
        assert_eq!(whole.bytes, bytes.0.len(), "{attributes}");
        assert_eq!(whole.changes, [ValueChange { channel: 1, value: -7 }]);
        let expected = (kind(0) > 0 && kind(1) > 0).then_some(geo::Coord { x: -85.2, y: 40.4 });
        assert_eq!(whole.stamps[0].at, expected, "{attributes}");
    }
}

#[test]
fn what_is_cut_or_broken() {
    let record = |ms| Bytes::default().time(ms).at(404_000_000, -852_000_000).raw(&[1]);
    let good = record(1000).values(&[(1, 5)]).0;
    let two = [good.clone(), record(2000).values(&[(0, 6), (1, 7)]).0].concat();
    for cut in 1..two.len() - good.len() {
        let (logs, said) = read(&task(HEADER, &two[..two.len() - cut]));
        assert_eq!((logs[0].stamps.len(), logs[0].changes.len()), (1, 1), "{cut}");
        assert!(said[0].contains("the log is cut or broken after 1 record, "), "{said:?}");
    }
    // A value that the header does not name; a time that no day has. By hand: 20 of 60 and of 55.
    let unnamed = record(2000).values(&[(3, 1)]).0;
    let no_time = record(86_402_000).values(&[]).0;
    for (broken, share) in [(unnamed, 33), (no_time, 36)] {
        let (logs, said) = read(&task(HEADER, &[good.clone(), broken, good.clone()].concat()));
        assert_eq!(logs[0].stamps.len(), 1);
        assert!(
            said[0].starts_with(&format!(
                "job.zip, TLG00001: the log is cut or broken after 1 record, {share} % of the file; "
            )),
            "{said:?}"
        );
    }
}

/// A file that ends with a record, 26 bytes of the 104 that the task says.
#[test]
fn shorter_than_the_task_says() {
    let record = Bytes::default().time(1000).at(404_000_000, -852_000_000).raw(&[1]);
    let mut files = task(HEADER, &record.values(&[(0, 5), (1, 6)]).0[..]);
    let main = MAIN_XML.replace("C=\"1\"/></TSK>", "B=\"104\" C=\"1\"/></TSK>");
    files.insert("TASKDATA.XML".to_owned(), main.into_bytes());
    let (_, said) = read(&files);
    assert!(said[0].contains("cut or broken after 1 record, 25 % of the file"), "{said:?}");
}

#[test]
fn faults_are_told() {
    let said = |files: &Files| logs("job.zip", files, None).unwrap_err().to_string();
    let good = Bytes::default().time(1000).at(1, 1).raw(&[1]).values(&[(1, 5)]).0;
    assert_eq!(
        said(&task(&HEADER.replace("0006", "0001").replace("0007", "0002"), &good)),
        "job.zip: found no mass in the logs, only the entries 1, 2, 141 of the data dictionary, expected a rate in mass per area (6, 7), a mass flow (42) or a mass (75, 81, 352)"
    );
    let mut files = task(HEADER, &good);
    files.insert("TASKDATA.XML".to_owned(), MAIN_XML.replace("TLG A", "NO A").into_bytes());
    assert_eq!(
        said(&files),
        "job.zip: found no time log in any task (TLG), expected the task data that came back from the machine, with its TLG files"
    );
    let mut files = task(HEADER, &good);
    files.remove("tlg00001.bin");
    assert_eq!(
        said(&files),
        "job.zip: found no log that can be read, expected one with its header (.XML) and its records (.BIN)"
    );
}

/// Two bins beside the sections: the product has to be named.
#[test]
fn one_product_of_two() {
    let bins = MAIN_XML.replace(
        "<DPT",
        "<DET A=\"DET-3\" B=\"3\" C=\"3\" E=\"2\" F=\"1\"/><DET A=\"DET-4\" B=\"4\" C=\"3\" E=\"3\" F=\"1\"/><DPT",
    );
    let header = HEADER.replace("A=\"0006\" B=\"\" C=\"DET-2\"", "A=\"0007\" C=\"DET-3\"");
    let header = header.replace("A=\"0007\" B=\"\" C=\"DET-2\"", "A=\"0007\" C=\"DET-4\"");
    let good = Bytes::default().time(1000).at(1, 1).raw(&[1]).values(&[(0, 5), (1, 6)]).0;
    let mut files = task(&header, &good);
    files.insert("TASKDATA.XML".to_owned(), bins.into_bytes());
    assert_eq!(
        logs("job.zip", &files, None).unwrap_err().to_string(),
        "job.zip, TLG00001: found masses of 2 bins, DET-3, DET-4, expected one product; say which (--layer DET-3)"
    );
    let (logs, _) = logs("job.zip", &files, Some("DET-4")).unwrap();
    assert_eq!(logs[0].machines[0].sections[0].actual, Some(1));
}

/// Bytes of a log and of its header changed, cut out and doubled by chance, with a generator of its
/// own (xorshift, Marsaglia 2003): never a panic, and what comes out lies within the file.
#[test]
fn mutated_logs_never_panic() {
    let mut state = 0x9E37_79B9_7F4A_7C15_u64;
    let mut below = move |end: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        usize::try_from(state % end.max(1) as u64).unwrap()
    };
    let mut bytes = Vec::new();
    for second in 0..6 {
        let record = Bytes::default().time(1000 * second).at(404_000_000, -852_000_000);
        bytes.extend(record.raw(&[4]).values(&[(0, 5), (1, 6)]).0);
    }
    let rounds: usize =
        std::env::var("MUTATIONS").ok().and_then(|count| count.parse().ok()).unwrap_or(20_000);
    let (mut whole, mut cut) = (0, 0);
    for round in 0..rounds {
        let mut files = task(HEADER, &bytes);
        // Every eighth time the header or the main file, else the records.
        let name = match round % 16 {
            0 => "TLG00001.XML",
            8 => "TASKDATA.XML",
            _ => "tlg00001.bin",
        };
        let file = files.get_mut(name).unwrap();
        for _ in 0..=below(3) {
            let (at, count) = (below(file.len()), below(8));
            let end = (at + count).min(file.len());
            match below(3) {
                0 if !file.is_empty() => file[at] = u8::try_from(below(256)).unwrap(),
                1 => drop(file.drain(at..end)),
                _ => {
                    let twice = file[at..end].to_vec();
                    file.splice(at..at, twice);
                }
            }
        }
        let Ok((logs, warnings)) = logs("job.zip", &files, None) else { continue };
        crate::report::warnings::said(&warnings);
        for log in &logs {
            assert!(log.stamps.last().is_none_or(|stamp| stamp.end == log.changes.len()));
            if log.stamps.len() == 6 { whole += 1 } else { cut += 1 }
        }
    }
    assert!(whole > rounds / 50 && cut > rounds / 50, "{whole} whole, {cut} cut");
}
