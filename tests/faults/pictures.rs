//! Pictures that unpack to far more than they are, twenty at once.

use std::iter;

use tokio::task::JoinSet;

use crate::bystander::Bystander;
use crate::shop_server::{Browser, DEMO_OWNER, QUIET_JOB, ShopServer};

const SENDERS: usize = 20;
/// What the whole server may take meanwhile.
const MOST_MIB: u64 = 400;

/// Bits in the order of a deflate stream (RFC 1951, section 3.1.1).
#[derive(Default)]
struct Bits {
    bytes: Vec<u8>,
    bit: u8,
}

impl Bits {
    /// Adds bits of a Huffman code, the first one first.
    fn add(&mut self, bits: &str) {
        for bit in bits.bytes() {
            if self.bit == 0 {
                self.bytes.push(0);
            }
            if let Some(last) = self.bytes.last_mut() {
                *last |= (bit - b'0') << self.bit;
            }
            self.bit = (self.bit + 1) % 8;
        }
    }
}

/// So many zeros as a zlib stream (RFC 1950), in one block of fixed codes (RFC 1951, section 3.2.6): a zero, and
/// then 258 times the byte before, again and again.
fn zeros(count: usize) -> Vec<u8> {
    let mut bits = Bits { bytes: vec![0x78, 0x01], bit: 0 };
    // The last block, with fixed codes.
    bits.add("110");
    let (runs, rest) = ((count - 1) / 258, (count - 1) % 258);
    iter::repeat_n("00110000", rest + 1)
        .chain(iter::repeat_n("1100010100000", runs))
        .for_each(|code| bits.add(code));
    bits.add("0000000");
    let check = u32::try_from(count % 65_521).expect("a remainder") << 16 | 1;
    bits.bytes.into_iter().chain(check.to_be_bytes()).collect()
}

/// A chunk of a PNG, with its CRC of ISO 3309.
fn chunk(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let named: Vec<u8> = name.iter().chain(content).copied().collect();
    let crc = !named.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| (crc >> 1) ^ (0xedb8_8320 & (crc & 1).wrapping_neg()))
    });
    let length = u32::try_from(content.len()).expect("a short chunk");
    [&length.to_be_bytes()[..], &named, &crc.to_be_bytes()].concat()
}

/// A black PNG of this size: bits for each color, and its color type.
fn black(width: u32, height: u32, bits: u8, colors: u8) -> Vec<u8> {
    let samples = if colors == 6 { 4 } else { 3 };
    let line = 1 + usize::try_from(width).expect("a width") * samples * usize::from(bits / 8);
    let head = [&width.to_be_bytes()[..], &height.to_be_bytes(), &[bits, colors, 0, 0, 0]].concat();
    let content = zeros(line * usize::try_from(height).expect("a height"));
    [&b"\x89PNG\r\n\x1a\n"[..], &chunk(b"IHDR", &head), &chunk(b"IDAT", &content), &chunk(b"IEND", b"")]
        .concat()
}

async fn send(browser: &Browser, address: &str, picture: &[u8]) -> Option<u16> {
    let (path, fields) = (format!("/jobs/{QUIET_JOB}/photos"), [("subject", "location/bow"), ("back", "/")]);
    let answer = browser.post_file(address, &path, &fields, ("photo", picture)).await;
    answer.map(|answer| answer.status().as_u16())
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pictures_that_unpack_hugely_take_little_memory_and_hold_nobody_up() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let browser = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    let kinds = [
        ("64 million pixels of 8 bytes", black(8_000, 8_000, 16, 6), Some(400)),
        ("50 million pixels of 8 bytes", black(8_000, 6_250, 16, 6), Some(400)),
        // These are allowed. They wait for each other, and some are told to wait.
        ("36 million pixels of 3 bytes", black(6_000, 6_000, 8, 2), None),
        ("50 million pixels of 4 bytes", black(8_000, 6_250, 8, 6), None),
    ];
    for (what, picture, expected) in kinds {
        let bystander = Bystander::begin(&server).await;
        let mut senders = JoinSet::new();
        for _ in 0..SENDERS {
            let (browser, address, picture) = (browser.clone(), server.address.clone(), picture.clone());
            senders.spawn(async move { send(&browser, &address, &picture).await });
        }
        let answers = senders.join_all().await;
        let known = |answer: &Option<u16>| match expected {
            Some(status) => *answer == Some(status),
            None => matches!(answer, Some(303 | 408 | 429)),
        };
        assert!(answers.iter().all(known), "{what}: {answers:?}");
        bystander
            .end(&server, &format!("{SENDERS} pictures of {what}, {} kB each", picture.len() / 1000))
            .await;
    }
    let peak = server.peak_mib();
    assert!(peak <= MOST_MIB, "the server took {peak} MiB");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn senders_who_hang_up_leave_their_turn_to_others() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let browser = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    let large = black(6_000, 6_000, 8, 2);
    let mut senders = JoinSet::new();
    for _ in 0..SENDERS {
        let (browser, address, picture) = (browser.clone(), server.address.clone(), large.clone());
        senders.spawn(async move { send(&browser, &address, &picture).await });
    }
    tokio::time::sleep(std::time::Duration::from_millis(500)).await;
    senders.shutdown().await;
    let asked = std::time::Instant::now();
    let small = send(&browser, &server.address, &black(40, 30, 8, 2)).await;
    println!("after {SENDERS} senders hung up, a photo took {} ms", asked.elapsed().as_millis());
    assert_eq!(small, Some(303));
}
