#![no_main]
//! Any bytes under the name of this format; and JSON and buffer put into a sound GLB shell, whose
//! lengths random bytes seldom get right.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    girthwise_fuzz::read_and_clean("a.glb", bytes);
    if !bytes.starts_with(b"glTF") {
        let cut = bytes.iter().position(|&byte| byte == 0);
        let (text, data) = bytes.split_at(cut.unwrap_or(bytes.len()));
        girthwise_fuzz::read_and_clean("a.glb", &shell(text, data));
    }
});

fn shell(text: &[u8], data: &[u8]) -> Vec<u8> {
    let word = |n: usize| (n as u32).to_le_bytes();
    let length = 28 + text.len() + data.len();
    let parts = [
        b"glTF",
        &word(2)[..],
        &word(length),
        &word(text.len()),
        b"JSON",
        text,
        &word(data.len()),
        b"BIN\0",
        data,
    ];
    parts.concat()
}
