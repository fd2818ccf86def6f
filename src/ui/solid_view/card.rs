//! Textures and buffers on the graphics card.

use wgpu::util::DeviceExt;
use wgpu::{Buffer, BufferUsages, Device, Queue, Texture, TextureFormat, TextureView};

use super::pipelines::{DEPTH, SAMPLES};

/// Corners and triangles on the graphics card.
#[derive(Debug)]
pub(super) struct Shape {
    pub(super) corners: Buffer,
    pub(super) indices: Buffer,
    pub(super) count: u32,
}

/// The textures of one picture size.
#[derive(Debug)]
pub(super) struct Target {
    pub(super) size: [u32; 2],
    pub(super) colour: Texture,
    pub(super) view: TextureView,
    pub(super) samples: TextureView,
    pub(super) depth: TextureView,
}

impl Target {
    pub(super) fn new(device: &Device, format: TextureFormat, size: [u32; 2]) -> Target {
        use wgpu::TextureUsages as Usage;
        let view = |t: &Texture| t.create_view(&wgpu::TextureViewDescriptor::default());
        let colour = texture(device, "solid view", size, format, 1, Usage::TEXTURE_BINDING | Usage::COPY_SRC);
        Target {
            size,
            view: view(&colour),
            samples: view(&texture(device, "solid view samples", size, format, SAMPLES, Usage::empty())),
            depth: view(&texture(device, "solid view depth", size, DEPTH, SAMPLES, Usage::empty())),
            colour,
        }
    }
}

pub(super) fn shape(device: &Device, label: &str, corners: &[u8], indices: &[u32]) -> Shape {
    let make = |contents: &[u8], usage| {
        device.create_buffer_init(&wgpu::util::BufferInitDescriptor { label: Some(label), contents, usage })
    };
    Shape {
        corners: make(corners, BufferUsages::VERTEX),
        indices: make(bytemuck::cast_slice(indices), BufferUsages::INDEX),
        count: indices.len() as u32,
    }
}

/// A texture that is drawn into.
pub(super) fn texture(
    device: &Device,
    label: &str,
    size: [u32; 2],
    format: TextureFormat,
    samples: u32,
    usage: wgpu::TextureUsages,
) -> Texture {
    device.create_texture(&wgpu::TextureDescriptor {
        label: Some(label),
        size: wgpu::Extent3d { width: size[0], height: size[1], depth_or_array_layers: 1 },
        mip_level_count: 1,
        sample_count: samples,
        dimension: wgpu::TextureDimension::D2,
        format,
        usage: usage | wgpu::TextureUsages::RENDER_ATTACHMENT,
        view_formats: &[],
    })
}

/// A texture of plain numbers, whole rows of them.
pub(super) fn data_texture(
    device: &Device,
    queue: &Queue,
    label: &str,
    width: u32,
    format: TextureFormat,
    bytes: &[u8],
) -> TextureView {
    let texel = format.block_copy_size(None).unwrap_or(1);
    let most = device.limits().max_texture_dimension_2d;
    let height = (bytes.len() as u32 / (width * texel)).clamp(1, most);
    let texture = device.create_texture_with_data(
        queue,
        &wgpu::TextureDescriptor {
            label: Some(label),
            size: wgpu::Extent3d { width, height, depth_or_array_layers: 1 },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format,
            usage: wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::COPY_DST,
            view_formats: &[],
        },
        wgpu::util::TextureDataOrder::LayerMajor,
        &bytes[..bytes.len().min((width * texel * height) as usize)],
    );
    texture.create_view(&wgpu::TextureViewDescriptor::default())
}
