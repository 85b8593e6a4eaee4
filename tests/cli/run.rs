//! Starting the program, and reading what it says.

use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

pub(crate) const SCAN: &str = "data/demo/scan.ply";
pub(crate) const TAPE: &str = "data/demo/tape.csv";
pub(crate) const GARMENT: &str = "data/demo/garment.toml";

/// A run of a debug build on a busy machine takes seconds; a run that hangs takes for ever.
const LONGEST: Duration = Duration::from_secs(120);

/// What a run left behind.
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

/// The program, to be run where the demo data is found.
pub(crate) fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_girthwise"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    command
}

pub(crate) fn girthwise<A: AsRef<std::ffi::OsStr>>(args: impl IntoIterator<Item = A>) -> Ran {
    finish(program().args(args))
}

/// Runs a command to its end, which must come in bounded time and without a panic.
pub(crate) fn finish(command: &mut Command) -> Ran {
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let out = drain(child.stdout.take().unwrap());
    let err = drain(child.stderr.take().unwrap());
    let start = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if start.elapsed() > LONGEST {
            child.kill().unwrap();
            panic!("{command:?} did not end in {LONGEST:?}");
        }
        thread::sleep(Duration::from_millis(5));
    };
    let (out, err) = (out.join().unwrap(), err.join().unwrap());
    assert!(!err.contains("panicked"), "{command:?}: {err}");
    let code = status.code();
    assert!(code.is_some(), "{command:?} was ended by a signal: {err}");
    Ran {
        code: code.unwrap_or_default(),
        out,
        err,
    }
}

fn drain(mut pipe: impl Read + Send + 'static) -> thread::JoinHandle<String> {
    thread::spawn(move || {
        let mut text = String::new();
        pipe.read_to_string(&mut text).unwrap();
        text
    })
}

impl Ran {
    /// What a run that went well printed; it must say nothing on standard error.
    pub(crate) fn well(self) -> String {
        assert_eq!(self.code, 0, "{}", self.err);
        assert_eq!(self.err, "", "noise on standard error");
        self.out
    }

    /// What a refusal says; its exit code must be as told, and nothing may stand on standard output.
    pub(crate) fn refusal(self, code: i32) -> String {
        assert_eq!(self.code, code, "{}", self.err);
        assert_eq!(self.out, "", "a refusal printed results");
        self.err
    }

    /// The document a run printed.
    pub(crate) fn json(self) -> serde_json::Value {
        serde_json::from_str(&self.well()).unwrap()
    }
}

/// A folder of a test's own, empty.
pub(crate) fn folder(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("cli")
        .join(name);
    if path.exists() {
        std::fs::remove_dir_all(&path).unwrap();
    }
    std::fs::create_dir_all(&path).unwrap();
    path
}

/// A file of the given bytes in `folder`; its path as an argument.
pub(crate) fn file(folder: &Path, name: &str, bytes: impl AsRef<[u8]>) -> String {
    let path = folder.join(name);
    std::fs::write(&path, bytes).unwrap();
    path.to_str().unwrap().to_owned()
}

/// The bytes of a file of the crate.
pub(crate) fn bytes(path: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}
