//! Prepares photos from phones for storage: upright, small, and without data about the photographer.
//!
//! A photo is decoded and encoded again, so nothing of the original file is stored: no location, no time, no
//! serial number, and no hidden data.
//!
//! A small file may unpack to any size. So its header decides whether it is decoded: it says how many pixels there
//! are, and from that follows the memory that the decoder takes.

use std::io::{self, BufRead, Cursor, Read, Seek, SeekFrom};

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageError, ImageFormat, ImageReader, Limits, Rgb, RgbImage};
use sha2::{Digest, Sha256};

/// The longer side of a stored photo, in pixels: a terminal's markings stay readable.
const LONGEST: u32 = 1600;
/// The maximum number of pixels of an uploaded photo. Phones make up to 50 million.
const MOST_PIXELS: u64 = 50_000_000;
/// The maximum memory for decoding.
const MOST_MEMORY: u64 = 256 * MIB;
const MIB: u64 = 1024 * 1024;
/// How much of a file is read before the decoder asks again whether anybody waits for the photo.
const PIECE: usize = 16 * 1024;
/// JPEG quality: a higher value makes larger files without a visible difference.
const QUALITY: u8 = 82;

/// A photo ready for storage: a JPEG file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// The file.
    pub bytes: Vec<u8>,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
}

/// Why an uploaded photo is refused.
#[derive(Debug, thiserror::Error)]
pub enum PictureError {
    /// The upload is empty.
    #[error("photo: nothing was sent; expected a JPEG, PNG or WebP picture")]
    Empty,
    /// It is not a picture, regardless of its name.
    #[error("photo: this is no picture that can be read; expected a JPEG, PNG or WebP file")]
    NotAPicture,
    /// It has more pixels than any camera makes.
    #[error("photo: {width} \u{d7} {height} pixels; expected at most {} million", MOST_PIXELS / 1_000_000)]
    TooManyPixels {
        /// The width in its header.
        width: u32,
        /// The height in its header.
        height: u32,
    },
    /// It takes too much memory to decode.
    #[error(
        "photo: {mib} MiB are needed to decode it; expected at most {}. Send it smaller, or as a plain JPEG",
        MOST_MEMORY / MIB
    )]
    TooMuchMemory {
        /// The memory in MiB, from its header.
        mib: u64,
    },
    /// It begins as a picture, but the rest is damaged.
    #[error("photo: the file is damaged or cut short; expected a whole picture")]
    Damaged,
}

/// A file that reads as broken off as soon as nobody waits for its photo.
struct WhileWanted<'a, W> {
    file: Cursor<&'a [u8]>,
    wanted: W,
}

impl<W: Fn() -> bool> BufRead for WhileWanted<'_, W> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if !(self.wanted)() {
            return Err(io::ErrorKind::BrokenPipe.into());
        }
        let left = self.file.fill_buf()?;
        Ok(&left[..left.len().min(PIECE)])
    }

    fn consume(&mut self, amount: usize) {
        self.file.consume(amount);
    }
}

impl<W: Fn() -> bool> Read for WhileWanted<'_, W> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let read = self.fill_buf()?.read(into)?;
        self.consume(read);
        Ok(read)
    }
}

impl<W> Seek for WhileWanted<'_, W> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.file.seek(to)
    }
}

impl Picture {
    /// Prepares a photo for storage.
    ///
    /// # Errors
    /// [`PictureError`] if it is not a picture, is too large by its header, or is damaged.
    pub fn of(sent: &[u8]) -> Result<Self, PictureError> {
        Self::while_wanted(sent, || true)
    }

    /// Prepares a photo for storage, while somebody waits for it. A PNG and a WebP file are given up soon after. A
    /// JPEG file is read at once, so it is decoded to its end.
    ///
    /// # Errors
    /// [`PictureError`] as for [`Self::of`]; [`PictureError::Damaged`] if nobody waits any more.
    pub fn while_wanted(sent: &[u8], wanted: impl Fn() -> bool) -> Result<Self, PictureError> {
        if sent.is_empty() {
            return Err(PictureError::Empty);
        }
        let pixels = on_white(small_and_upright(sent, wanted)?);
        let mut bytes = Vec::new();
        JpegEncoder::new_with_quality(&mut bytes, QUALITY)
            .encode_image(&pixels)
            .map_err(|_| PictureError::Damaged)?;
        Ok(Self { bytes, width: pixels.width(), height: pixels.height() })
    }

    /// The SHA-256 of the file, in hexadecimal: its name in storage.
    pub fn hash(&self) -> String {
        Sha256::digest(&self.bytes).iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

/// Decodes by the content of the file, not by its name, makes the picture small, and then turns it upright.
fn small_and_upright(sent: &[u8], wanted: impl Fn() -> bool) -> Result<DynamicImage, PictureError> {
    let file = WhileWanted { file: Cursor::new(sent), wanted };
    let mut reader = ImageReader::new(file).with_guessed_format().map_err(|_| PictureError::NotAPicture)?;
    let format = match reader.format() {
        Some(format @ (ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP)) => format,
        _ => return Err(PictureError::NotAPicture),
    };
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|error| refused(&error))?;
    affordable(&decoder, format, sent)?;
    let orientation = decoder.orientation().map_err(|error| refused(&error))?;
    let image = DynamicImage::from_decoder(decoder).map_err(|error| refused(&error))?;
    let mut small = match image.width().max(image.height()) {
        // Averages the pixels without a second picture of the full width, which other filters need.
        longest if longest > LONGEST => image.thumbnail(LONGEST, LONGEST),
        _ => image,
    };
    small.apply_orientation(orientation);
    Ok(small)
}

/// Whether the limits allow what the header says.
fn affordable(decoder: &impl ImageDecoder, format: ImageFormat, sent: &[u8]) -> Result<(), PictureError> {
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if pixels > MOST_PIXELS {
        return Err(PictureError::TooManyPixels { width, height });
    }
    let aside = match format {
        ImageFormat::Jpeg if !is_plain_jpeg(sent) => JPEG_ASIDE,
        ImageFormat::WebP => WEBP_ASIDE,
        _ => 0,
    };
    let memory = decoder.total_bytes().saturating_add(pixels * aside);
    if memory > MOST_MEMORY {
        return Err(PictureError::TooMuchMemory { mib: memory.div_ceil(MIB) });
    }
    Ok(())
}

/// What a decoder keeps beside the picture, in bytes for each pixel: for a JPEG in several scans, two for each
/// coefficient of three colors; for WebP, the picture in its own colors and with transparency.
const JPEG_ASIDE: u64 = 6;
const WEBP_ASIDE: u64 = 5;

/// Whether a JPEG has all colors in one scan from top to bottom, so that it is decoded line by line. The markers
/// are those of ITU-T T.81, table B.1: a frame header `FFC0` or `FFC1`, and later a scan header `FFDA`.
fn is_plain_jpeg(sent: &[u8]) -> bool {
    let (mut rest, mut colors) = (sent.get(2..).unwrap_or_default(), None);
    while let [0xff, marker, high, low, segment @ ..] = rest {
        match marker {
            0xc0 | 0xc1 => colors = segment.get(5),
            0xda => return colors.is_some() && colors == segment.first(),
            _ => {}
        }
        // The length counts its own two bytes.
        let length = usize::from(u16::from_be_bytes([*high, *low])).saturating_sub(2);
        rest = segment.get(length..).unwrap_or_default();
    }
    false
}

/// The picture without transparency: what is transparent shows white, as on paper.
fn on_white(image: DynamicImage) -> RgbImage {
    if !image.color().has_alpha() {
        return image.into_rgb8();
    }
    let pixels = image.into_rgba8();
    RgbImage::from_fn(pixels.width(), pixels.height(), |x, y| {
        let [red, green, blue, alpha] = pixels.get_pixel(x, y).0.map(u16::from);
        let flat = |color| u8::try_from((color * alpha + 255 * (255 - alpha)) / 255).unwrap_or(u8::MAX);
        Rgb([red, green, blue].map(flat))
    })
}

fn refused(error: &ImageError) -> PictureError {
    match error {
        ImageError::Unsupported(_) => PictureError::NotAPicture,
        _ => PictureError::Damaged,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use image::{ExtendedColorType, ImageEncoder};

    /// A wide picture, red at the left and blue at the right.
    fn red_and_blue(width: u32, height: u32) -> RgbImage {
        RgbImage::from_fn(
            width,
            height,
            |x, _| if x < width / 2 { Rgb([220, 0, 0]) } else { Rgb([0, 0, 220]) },
        )
    }

    /// A JPEG with the data that it was held on its side (orientation 6), and where it was taken.
    ///
    /// The block of tags is written by hand according to TIFF 6.0 and Exif 2.3. It has a little-endian header and
    /// one directory. The directory has the orientation (tag 0x0112) and a pointer (0x8825) to a directory with a
    /// latitude reference (tag 1, "N").
    fn on_its_side() -> Vec<u8> {
        let mut tags: Vec<u8> = b"Exif\0\0II\x2a\0\x08\0\0\0".to_vec();
        tags.extend([2, 0]);
        tags.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0, 6, 0, 0, 0]);
        tags.extend([0x25, 0x88, 4, 0, 1, 0, 0, 0, 38, 0, 0, 0]);
        tags.extend([0, 0, 0, 0]);
        tags.extend([1, 0, 1, 0, 2, 0, 1, 0, 0, 0]);
        tags.extend(b"N\0\0\0");
        tags.extend([0, 0, 0, 0]);
        let mut plain = Vec::new();
        JpegEncoder::new(&mut plain).encode_image(&red_and_blue(64, 32)).unwrap();
        let length = u16::try_from(tags.len() + 2).unwrap().to_be_bytes();
        [&plain[..2], &[0xff, 0xe1], &length[..], &tags, &plain[2..]].concat()
    }

    #[test]
    fn a_photo_held_on_its_side_comes_out_upright_and_says_nothing_of_where_it_was_taken() {
        let sent = on_its_side();
        assert!(sent.windows(4).any(|four| four == b"Exif"), "what is sent carries tags");
        let kept = Picture::of(&sent).unwrap();
        assert_eq!((kept.width, kept.height), (32, 64), "turned by a quarter");
        assert!(!kept.bytes.windows(4).any(|four| four == b"Exif"), "no tags are kept");
        let image = image::load_from_memory(&kept.bytes).unwrap().into_rgb8();
        let (top, foot) = (image.get_pixel(16, 8), image.get_pixel(16, 56));
        assert!(top[0] > 150 && foot[2] > 150, "left comes to the top: {top:?} {foot:?}");
    }

    #[test]
    fn a_large_photo_is_made_small_and_keeps_its_shape() {
        let mut png = Vec::new();
        let large = red_and_blue(4000, 3000);
        image::codecs::png::PngEncoder::new(&mut png)
            .write_image(&large, 4000, 3000, ExtendedColorType::Rgb8)
            .unwrap();
        let kept = Picture::of(&png).unwrap();
        assert_eq!((kept.width, kept.height), (1600, 1200));
    }

    #[test]
    fn what_is_transparent_shows_white() {
        let mut png = Vec::new();
        let pixels = [0, 0, 0, 0].repeat(64);
        image::codecs::png::PngEncoder::new(&mut png)
            .write_image(&pixels, 8, 8, ExtendedColorType::Rgba8)
            .unwrap();
        let kept = image::load_from_memory(&Picture::of(&png).unwrap().bytes).unwrap().into_rgb8();
        assert!(kept.pixels().all(|pixel| pixel.0.iter().all(|color| *color > 250)));
    }

    #[test]
    fn what_is_no_picture_is_refused_whatever_it_claims_to_be() {
        let said = |bytes: &[u8]| Picture::of(bytes).unwrap_err().to_string();
        assert!(said(b"").contains("nothing was sent"));
        assert!(said(b"<svg xmlns='http://www.w3.org/2000/svg'/>").contains("no picture"));
        assert!(said(b"GIF89a").contains("no picture"));
        let sent = on_its_side();
        assert!(
            said(&sent[..sent.len() / 2]).contains("damaged") || Picture::of(&sent[..sent.len() / 2]).is_ok()
        );
    }

    /// A PNG of this size whose header says the rest, so that no pixel of it need exist.
    fn claimed(width: u32, height: u32, bits: u8, colors: u8) -> Vec<u8> {
        let mut png = Vec::new();
        image::codecs::png::PngEncoder::new(&mut png)
            .write_image(&red_and_blue(4, 4), 4, 4, ExtendedColorType::Rgb8)
            .unwrap();
        // Width, height, bits and colors are at bytes 16..26 of a PNG, in the header chunk, with its CRC after them.
        png[16..20].copy_from_slice(&width.to_be_bytes());
        png[20..24].copy_from_slice(&height.to_be_bytes());
        (png[24], png[25]) = (bits, colors);
        let crc = crc32(&png[12..29]);
        png[29..33].copy_from_slice(&crc.to_be_bytes());
        png
    }

    #[test]
    fn a_picture_that_claims_to_be_enormous_is_refused_before_it_is_unpacked() {
        let said = |png: Vec<u8>| Picture::of(&png).unwrap_err().to_string();
        // Color type 2 is RGB, 6 is RGB with transparency (PNG, third edition, table 9).
        assert!(
            said(claimed(60_000, 60_000, 8, 2))
                .contains("60000 \u{d7} 60000 pixels; expected at most 50 million")
        );
        assert!(said(claimed(8_000, 6_251, 8, 2)).contains("expected at most 50 million"));
        // 50 million pixels of eight bytes.
        let wide = said(claimed(8_000, 6_250, 16, 6));
        assert!(wide.contains("382 MiB are needed to decode it; expected at most 256"), "{wide}");
        // What the limits allow is decoded, and then found to be damaged.
        assert!(said(claimed(8_000, 6_250, 8, 2)).contains("damaged"));
    }

    /// The head of a JPEG with this frame marker and so many of its three colors in the first scan.
    fn jpeg_head(frame: u8, in_scan: u8) -> Vec<u8> {
        let size = [0x18, 0x6a, 0x1f, 0x40];
        let colors = [1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0];
        let tables = [0xff, 0xfe, 0, 4, 0xff, 0xc2];
        let frame = [&[0xff, frame, 0, 17, 8][..], &size, &[3], &colors].concat();
        [&[0xff, 0xd8][..], &tables, &frame, &[0xff, 0xda, 0, 12, in_scan]].concat()
    }

    #[test]
    fn a_jpeg_in_several_scans_is_known_by_its_markers() {
        assert!(is_plain_jpeg(&on_its_side()));
        assert!(is_plain_jpeg(&jpeg_head(0xc0, 3)));
        assert!(!is_plain_jpeg(&jpeg_head(0xc0, 1)), "one color in each scan");
        assert!(!is_plain_jpeg(&jpeg_head(0xc2, 3)), "progressive");
        assert!(!is_plain_jpeg(&[0xff, 0xd8, 0xff, 0xc0]) && !is_plain_jpeg(&[]));
    }

    #[test]
    fn what_nobody_waits_for_is_not_decoded_to_its_end() {
        let mut png = Vec::new();
        // Without a pattern, so that the file has many pieces.
        let noise = RgbImage::from_fn(300, 300, |x, y| {
            let mixed = x.wrapping_mul(73_856_093) ^ y.wrapping_mul(19_349_663);
            Rgb([0, 8, 16].map(|shift| u8::try_from(mixed >> shift & 0xff).unwrap()))
        });
        image::codecs::png::PngEncoder::new(&mut png)
            .write_image(&noise, 300, 300, ExtendedColorType::Rgb8)
            .unwrap();
        let asked = std::cell::Cell::new(0);
        let wanted = || {
            asked.set(asked.get() + 1);
            asked.get() < 6
        };
        assert!(Picture::while_wanted(&png, wanted).is_err());
        assert_eq!(asked.get(), 6, "it ends at the first no");
        assert!(Picture::of(&png).is_ok());
    }

    /// The CRC of PNG (ISO 3309), bit by bit.
    fn crc32(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(u32::MAX, |crc, byte| {
            (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
                if crc & 1 == 1 { (crc >> 1) ^ 0xedb8_8320 } else { crc >> 1 }
            })
        })
    }
}
