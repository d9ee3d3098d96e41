//! Prepares photos from phones for storage: upright, small, and without data about the photographer.
//!
//! A photo is decoded and encoded again, so nothing of the original file is stored: no location, no time, no
//! serial number, and no hidden data.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::{DynamicImage, ImageDecoder, ImageError, ImageFormat, ImageReader, Limits, Rgb, RgbImage};
use sha2::{Digest, Sha256};

/// The longer side of a stored photo, in pixels: a terminal's markings stay readable.
const LONGEST: u32 = 1600;
/// The maximum number of pixels of an uploaded photo. Phones make up to 50 million.
const MOST_PIXELS: u64 = 64_000_000;
/// The maximum memory for decoding.
const MOST_MEMORY: u64 = 512 * 1024 * 1024;
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
    /// It begins as a picture, but the rest is damaged.
    #[error("photo: the file is damaged or cut short; expected a whole picture")]
    Damaged,
}

impl Picture {
    /// Prepares a photo for storage.
    ///
    /// # Errors
    /// [`PictureError`] if it is not a picture, is too large by its header, or is damaged.
    pub fn of(sent: &[u8]) -> Result<Self, PictureError> {
        if sent.is_empty() {
            return Err(PictureError::Empty);
        }
        let upright = upright(sent)?;
        let small = match upright.width().max(upright.height()) {
            longest if longest > LONGEST => upright.resize(LONGEST, LONGEST, FilterType::Triangle),
            _ => upright,
        };
        let pixels = on_white(small);
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

/// Decodes by the content of the file, not by its name, and turns the picture upright.
fn upright(sent: &[u8]) -> Result<DynamicImage, PictureError> {
    let mut reader =
        ImageReader::new(Cursor::new(sent)).with_guessed_format().map_err(|_| PictureError::NotAPicture)?;
    if !matches!(reader.format(), Some(ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP)) {
        return Err(PictureError::NotAPicture);
    }
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|error| refused(&error))?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(PictureError::TooManyPixels { width, height });
    }
    let orientation = decoder.orientation().map_err(|error| refused(&error))?;
    let mut image = DynamicImage::from_decoder(decoder).map_err(|error| refused(&error))?;
    image.apply_orientation(orientation);
    Ok(image)
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

    #[test]
    fn a_picture_that_claims_to_be_enormous_is_refused_before_it_is_unpacked() {
        let mut png = Vec::new();
        image::codecs::png::PngEncoder::new(&mut png)
            .write_image(&red_and_blue(4, 4), 4, 4, ExtendedColorType::Rgb8)
            .unwrap();
        // Width and height are at bytes 16..24 of a PNG, in the header chunk, with its CRC after them.
        png[16..20].copy_from_slice(&60_000_u32.to_be_bytes());
        png[20..24].copy_from_slice(&60_000_u32.to_be_bytes());
        let crc = crc32(&png[12..29]);
        png[29..33].copy_from_slice(&crc.to_be_bytes());
        let error = Picture::of(&png).unwrap_err();
        assert!(matches!(error, PictureError::TooManyPixels { .. } | PictureError::Damaged), "{error}");
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
