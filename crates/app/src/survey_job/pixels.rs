//! Pixels of JPEG and PNG files as grey, and grey as JPEG.

use std::io::Cursor;

use jpeg_encoder::{ColorType as JpegColour, Encoder};
use png::{ColorType, Decoder, Limits, Transformations};
use survey::photo::grey::Grey;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

/// Memory that a PNG file may take while it is decoded, bytes.
const MOST_MEMORY: usize = 2 << 30;

/// A format that is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// ITU-T T.81.
    Jpeg,
    /// ISO/IEC 15948.
    Png,
}

impl Format {
    /// The format by a file's first bytes.
    pub fn of(bytes: &[u8]) -> Option<Format> {
        match bytes {
            [0xff, 0xd8, 0xff, ..] => Some(Format::Jpeg),
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => Some(Format::Png),
            _ => None,
        }
    }

    /// Width and height, pixels, as the head of the file gives them.
    ///
    /// # Errors
    /// Why the head cannot be read.
    pub fn size(self, bytes: &[u8]) -> Result<[u32; 2], String> {
        match self {
            Format::Jpeg => {
                let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options());
                decoder.decode_headers().map_err(|e| e.to_string())?;
                let info = decoder.info().ok_or("it gives no size")?;
                Ok([u32::from(info.width), u32::from(info.height)])
            }
            Format::Png => {
                let mut decoder = Decoder::new(Cursor::new(bytes));
                let info = decoder.read_header_info().map_err(|e| e.to_string())?;
                Ok([info.width, info.height])
            }
        }
    }

    /// The pixels as grey levels, row by row.
    ///
    /// # Errors
    /// Why they cannot be decoded.
    pub fn grey(self, bytes: &[u8]) -> Result<Vec<u8>, String> {
        match self {
            Format::Jpeg => grey_of_jpeg(bytes),
            Format::Png => grey_of_png(bytes),
        }
    }
}

/// Of any size: the limits are held against the head before.
fn options() -> DecoderOptions {
    DecoderOptions::default().set_max_width(usize::from(u16::MAX)).set_max_height(usize::from(u16::MAX))
}

fn grey_of_jpeg(bytes: &[u8]) -> Result<Vec<u8>, String> {
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options());
    decoder.decode_headers().map_err(|e| e.to_string())?;
    // The luminance of most files is stored as it is; of any other the colours are decoded.
    let is_stored = matches!(decoder.input_colorspace(), Some(ColorSpace::YCbCr | ColorSpace::Luma));
    let out = if is_stored { ColorSpace::Luma } else { ColorSpace::RGB };
    decoder.set_options(options().jpeg_set_out_colorspace(out));
    let pixels = decoder.decode().map_err(|e| e.to_string())?;
    Ok(if is_stored { pixels } else { pixels.chunks_exact(3).map(luminance).collect() })
}

fn grey_of_png(bytes: &[u8]) -> Result<Vec<u8>, String> {
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), Limits { bytes: MOST_MEMORY });
    decoder.set_transformations(Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(|e| e.to_string())?;
    let length = reader.output_buffer_size().filter(|l| *l <= MOST_MEMORY).ok_or("it is too large")?;
    let mut pixels = vec![0; length];
    let frame = reader.next_frame(&mut pixels).map_err(|e| e.to_string())?;
    pixels.truncate(frame.buffer_size());
    Ok(match frame.color_type {
        ColorType::Grayscale => pixels,
        ColorType::GrayscaleAlpha => pixels.chunks_exact(2).map(|p| p[0]).collect(),
        ColorType::Rgba => pixels.chunks_exact(4).map(luminance).collect(),
        ColorType::Rgb | ColorType::Indexed => pixels.chunks_exact(3).map(luminance).collect(),
    })
}

/// Luminance of red, green and blue (ITU-R BT.601, as JPEG files store it).
fn luminance(pixel: &[u8]) -> u8 {
    let [r, g, b] = [pixel[0], pixel[1], pixel[2]].map(u32::from);
    ((299 * r + 587 * g + 114 * b + 500) / 1000) as u8
}

/// A grey picture as a JPEG file; empty when it cannot be written.
pub fn jpeg(grey: &Grey, quality: u8) -> Vec<u8> {
    let mut bytes = Vec::new();
    let sizes = (u16::try_from(grey.width), u16::try_from(grey.height));
    let (Ok(width), Ok(height)) = sizes else { return bytes };
    match Encoder::new(&mut bytes, quality).encode(&grey.pixels, width, height, JpegColour::Luma) {
        Ok(()) => bytes,
        Err(_) => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture of 24 x 16 pixels, one half dark.
    fn picture() -> Grey {
        Grey::new(24, 16, (0..24 * 16).map(|i| if i % 24 < 8 { 20 } else { 230 }).collect()).unwrap()
    }

    #[test]
    fn what_is_written_is_read_again() {
        let bytes = jpeg(&picture(), 95);
        assert_eq!(Format::of(&bytes), Some(Format::Jpeg));
        assert_eq!(Format::Jpeg.size(&bytes), Ok([24, 16]));
        let grey = Format::Jpeg.grey(&bytes).unwrap();
        assert!(grey.iter().zip(&picture().pixels).all(|(a, b)| a.abs_diff(*b) < 6));
    }

    #[test]
    fn png_files_of_every_colour_type_are_read() {
        let colours =
            [(ColorType::Grayscale, 1), (ColorType::GrayscaleAlpha, 2), (ColorType::Rgb, 3), (ColorType::Rgba, 4)];
        for (colour, channels) in colours {
            let mut bytes = Vec::new();
            let mut encoder = png::Encoder::new(&mut bytes, 24, 16);
            encoder.set_color(colour);
            let pixels: Vec<u8> = picture().pixels.iter().flat_map(|v| vec![*v; channels]).collect();
            encoder.write_header().unwrap().write_image_data(&pixels).unwrap();
            assert_eq!((Format::of(&bytes), Format::Png.size(&bytes)), (Some(Format::Png), Ok([24, 16])));
            assert_eq!(Format::Png.grey(&bytes), Ok(picture().pixels), "{colour:?}");
        }
    }

    #[test]
    fn red_green_and_blue_count_as_in_a_jpeg_file() {
        assert_eq!([[255, 0, 0], [0, 255, 0], [0, 0, 255], [255; 3]].map(|p| luminance(&p)), [76, 150, 29, 255]);
    }
}
