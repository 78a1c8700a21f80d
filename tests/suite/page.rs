//! The planning page: who may ask, what is read and written, and what a kill leaves.

use std::fs;
use std::io::Write;
use std::net::TcpStream;
use std::os::unix::fs::symlink;
use std::thread;
use std::time::{Duration, Instant};

use crate::folder::{Folder, JOB};
use crate::page_client::{Page, answer};

/// Moves the first break of the smallest job.
fn break_at(cec: f64) -> String {
    format!(
        r#"{{"do":"tiers","tiers":[{{"of":0,"end":{cec},"rate":null}},{{"of":1,"end":15,"rate":null}},{{"of":2,"end":null,"rate":null}}]}}"#
    )
}

/// Another process of this computer has no key; another site's page has another origin or, by a name
/// that it lets lead here (DNS rebinding), another host.
#[test]
fn strangers_are_refused() {
    let folder = Folder::with_job();
    let page = Page::open(&folder, "job.toml");
    let (host, origin, cookie) = (page.host(), page.origin(), page.cookie.clone());
    let wrong = format!("{}0", cookie.split_at(cookie.len() - 1).0);
    let stranger = format!("host: rebound.example:{}", page.port);
    let refused: [(&str, &str, &[&str]); 12] = [
        ("GET", "/", &[&host]),
        ("GET", "/?key=", &[&host]),
        ("GET", "/?key=0000", &[&host]),
        ("GET", "/api/state", &[&host]),
        ("GET", "/api/state", &[&host, &wrong]),
        ("GET", "/main.js", &[&host]),
        ("GET", "/api/state", &[&stranger, &cookie]),
        ("GET", "/api/state", &[&host, &cookie, "origin: http://stranger.example"]),
        ("GET", "/api/state", &[&host, &cookie, "sec-fetch-site: cross-site"]),
        ("POST", "/api/undo", &[&host, &cookie]),
        ("POST", "/api/undo", &[&host, &cookie, "origin: null"]),
        ("POST", "/api/undo", &[&stranger, &cookie, "origin: http://rebound.example"]),
    ];
    for (method, path, headers) in refused {
        let answered = page.raw(method, path, headers, b"");
        assert!(
            answered.status == 403 || answered.status == 400,
            "{path} {headers:?}: {answered:?}"
        );
        assert!(!answered.head.contains("set-cookie") && !answered.body.contains("boundary"));
    }
    let key = format!("/?key={}", page.key);
    assert_eq!(page.raw("GET", &key, &[&stranger], b"").status, 403);
    let answered = page.raw("GET", "/", &[&host, &cookie], b"");
    assert_eq!(answered.status, 200);
    for said in
        ["script-src 'self'", "default-src 'none'", "frame-ancestors 'none'", "nosniff", "no-store"]
    {
        assert!(answered.head.contains(said), "{said}: {}", answered.head);
    }
    assert!(!answered.body.contains("<style") && !answered.body.contains("style="));
    assert_eq!(page.raw("POST", "/api/undo", &[&host, &origin, &cookie], b"{}").status, 200);
}

#[test]
fn names_lead_nowhere() {
    let outer = Folder::empty();
    fs::create_dir(outer.path().join("inner")).unwrap();
    outer.put("other.toml", JOB).put("secret.csv", "id,cec\n1,2\n");
    let inner = Folder::empty();
    inner.put("field.geojson", "{}");
    let page = Page::open(&inner, ".");
    for name in [
        "../x.csv",
        "..%2Fx.csv",
        "a/b.csv",
        "%5C%5Chost%5Cx.csv",
        ".ssh",
        "C%3Ax.csv",
        "",
        "nul.csv",
        "a%00.csv",
    ] {
        let answered = page.ask("POST", &format!("/api/upload?name={name}"), b"id,cec\n");
        assert!(answered.body.contains("error") || answered.status == 400, "{name}: {answered:?}");
    }
    for path in
        ["/../Cargo.toml", "/%2e%2e%2fCargo.toml", "/..%5cmain.js", "/etc/passwd", "//etc/passwd"]
    {
        let answered = page.ask("GET", path, b"");
        assert!([400, 404].contains(&answered.status), "{path}: {answered:?}");
    }
    let outside = outer.path().join("other.toml").display().to_string();
    for name in ["../other.toml", outside.as_str(), "inner/../../other.toml"] {
        let body = serde_json::json!({ "name": name }).to_string();
        assert!(page.error("/api/open", &body).contains("expected the name of a file"), "{name}");
    }
    let left: Vec<_> =
        fs::read_dir(inner.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left, ["field.geojson"], "nothing was written");
}

/// A job may name what lies in its folder, also by a link; what a link or `..` leads to outside is not
/// read, and nothing is written there.
#[test]
fn nothing_outside_the_folder_is_read_or_written() {
    let (outside, folder) = (Folder::with_job(), Folder::with_job());
    symlink(outside.path().join("samples.csv"), folder.path().join("linked.csv")).unwrap();
    let up = format!("../{}/samples.csv", outside.path().file_name().unwrap().to_string_lossy());
    for samples in ["linked.csv", up.as_str()] {
        folder.put("job.toml", JOB.replace("samples.csv", samples));
        let said = folder.run(&["page", "--no-browser", "job.toml"]);
        assert_eq!(said.code, 2, "{}", said.err);
        assert!(said.err.contains("leads out of the folder that the page opened"), "{}", said.err);
    }
    folder.put("job.toml", JOB);
    symlink(outside.path(), folder.path().join("plans")).unwrap();
    let page = Page::open(&folder, "job.toml");
    let error = page.error("/api/write", "{}");
    assert!(error.contains("leads out of the folder"), "{error}");
    assert!(!outside.path().join("job").exists());
}

/// 10 GB as a browser would announce them, and without an end: refused before memory fills.
#[test]
fn large_uploads_are_refused() {
    let folder = Folder::empty();
    let mut page = Page::open(&folder, ".");
    let head = |page: &Page, length: &str| {
        format!(
            "POST /api/upload?name=large.csv HTTP/1.1\r\n{}\r\n{}\r\n{}\r\n{length}\r\n\r\n",
            page.host(),
            page.origin(),
            page.cookie
        )
    };
    let mut stream = page.connect();
    stream
        .write_all(head(&page, "content-length: 10737418240\r\nconnection: close").as_bytes())
        .unwrap();
    assert_eq!(answer(&mut stream).status, 413);

    let mut stream = page.connect();
    stream.write_all(head(&page, "transfer-encoding: chunked").as_bytes()).unwrap();
    let chunk = [b"10000\r\n".as_slice(), &vec![b'x'; 0x10000], b"\r\n"].concat();
    let sent = (0..20_000).take_while(|_| stream.write_all(&chunk).is_ok()).count();
    assert!(sent < 10_000, "{sent} chunks of 64 kB were taken");
    drop(stream);
    assert!(page.is_alive());
    let huge = "{\"name\":\"".to_owned() + &"x".repeat(2 << 20) + "\"}";
    assert_eq!(page.ask("POST", "/api/open", huge.as_bytes()).status, 413);
    let memory = memory(&mut page);
    assert!(memory < 400 << 10, "{memory} kB");
}

/// What a page takes of memory, in kB; 0 where that cannot be had.
fn memory(page: &mut Page) -> u64 {
    let status =
        fs::read_to_string(format!("/proc/{}/status", page.child.id())).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok()).unwrap_or(0)
}

/// A thousand connections that say nothing, and one that says a letter now and then: all are closed, and
/// the page answers again within seconds.
#[test]
fn idle_and_slow_connections_are_closed() {
    let folder = Folder::with_job();
    let mut page = Page::open(&folder, "job.toml");
    let mut slow = page.connect();
    let begun = Instant::now();
    let mut idle: Vec<TcpStream> = Vec::new();
    for _ in 0..1000 {
        idle.push(page.connect());
        // This process has handles for so many.
        if idle.len() > 400 {
            idle.remove(0);
        }
    }
    let mut letters = b"GET /api/state HTTP/1.1\r\nx: ".iter().chain(std::iter::repeat(&b'y'));
    let closed = loop {
        let letter = *letters.next().unwrap();
        if slow.write_all(&[letter]).is_err() {
            break true;
        }
        if begun.elapsed() > Duration::from_secs(30) {
            break false;
        }
        thread::sleep(Duration::from_millis(100));
    };
    assert!(closed, "a slow sender is let go on");
    let alive = (0..100).any(|_| {
        thread::sleep(Duration::from_millis(100));
        page.is_alive()
    });
    assert!(alive, "no answer after a thousand connections");
    let memory = memory(&mut page);
    assert!(memory < 300 << 10, "{memory} kB");
}

/// Saving keeps comments and order, tells what somebody else changed meanwhile, and writes over it only
/// when told to.
#[test]
fn a_job_is_saved_with_its_comments() {
    let folder = Folder::with_job();
    let commented = format!("# Ours.\n{JOB}swath = \"40 ft\" # the old one\n");
    folder.put("job.toml", &commented);
    let page = Page::open(&folder, "job.toml");
    page.post("/api/edit", r#"{"do":"set","key":"swath","value":"60 ft"}"#);
    assert_eq!(folder.read("job.toml"), commented);
    let changes = page.ask("GET", "/api/changes", b"").body;
    assert!(
        changes.contains(r#"{"sign":"+","line":"swath = \"60 ft\" # the old one"}"#),
        "{changes}"
    );
    folder.put("job.toml", commented.replace("Ours", "Theirs"));
    let conflict = page.post("/api/save", r#"{"over":false}"#);
    assert_eq!(conflict["conflict"][1]["line"], "# Theirs.", "{conflict}");
    assert!(folder.read("job.toml").contains("Theirs"));
    page.post("/api/save", r#"{"over":true}"#);
    assert_eq!(folder.read("job.toml"), commented.replace("40 ft", "60 ft"));
    // What cannot be planned is told, and changes nothing.
    let error = page.error("/api/edit", r#"{"do":"set","key":"swath","value":"60 furlongs"}"#);
    assert!(error.contains("found unit \"furlongs\""), "{error}");
    assert!(page.post("/api/undo", "{}")["job"]["is_changed"].as_bool().unwrap());
}

/// A page that is killed while it saves, 200 times, leaves the job as it was before or after, whole.
#[test]
fn a_killed_save_leaves_a_whole_job() {
    let folder = Folder::with_job();
    let whole = |text: &str| {
        text == JOB || {
            let job = text.strip_prefix(JOB).unwrap_or_default();
            job.ends_with("rate = \"2 ton/ac\"\n") && job.matches("[[tier]]").count() == 3
        }
    };
    let mut changed = 0;
    for kill in 0..200_u32 {
        let before = folder.read("job.toml");
        let mut page = Page::open(&folder, "job.toml");
        page.post("/api/edit", &break_at(9.0 + f64::from(kill % 10) / 10.0));
        let mut stream = page.connect();
        let body = r#"{"over":false}"#;
        let request = format!(
            "POST /api/save HTTP/1.1\r\n{}\r\n{}\r\n{}\r\ncontent-length: {}\r\n\r\n{body}",
            page.host(),
            page.origin(),
            page.cookie,
            body.len()
        );
        stream.write_all(request.as_bytes()).unwrap();
        thread::sleep(Duration::from_micros(u64::from(kill) * 40));
        page.child.kill().unwrap();
        page.child.wait().unwrap();
        let after = folder.read("job.toml");
        assert!(whole(&after), "kill {kill}: {after}");
        changed += u32::from(after != before);
    }
    println!("{changed} of 200 saves were done before the kill");
}
