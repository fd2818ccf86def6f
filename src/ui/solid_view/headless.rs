//! The same picture without a window: for the documentation, for printing and for tests.

use image::RgbaImage;
use thiserror::Error;
use wgpu::TextureFormat;

use crate::view::camera::Camera;
use crate::view::scene::{Scene, Theme};

use super::renderer::{PictureOptions, SolidRenderer};

/// Why no picture could be made.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum HeadlessError {
    /// The machine offers neither a graphics card nor a software driver.
    #[error(
        "this computer offers no graphics adapter for the solid view (neither a graphics card nor a software driver): {0}"
    )]
    NoAdapter(String),
    /// The adapter is there but could not be opened.
    #[error("the graphics adapter could not be opened: {0}")]
    NoDevice(String),
    /// The picture was drawn but could not be fetched.
    #[error("the picture could not be read back from the graphics adapter: {0}")]
    NoPicture(String),
}

/// Longest wait for a picture.
const PATIENCE: std::time::Duration = std::time::Duration::from_secs(60);

/// A renderer with a graphics device of its own.
#[derive(Debug)]
pub struct HeadlessRenderer {
    device: wgpu::Device,
    queue: wgpu::Queue,
    renderer: SolidRenderer,
    adapter: String,
}

impl HeadlessRenderer {
    /// Opens the machine's adapter, software drivers included. `WGPU_BACKEND` chooses as it does for the window.
    pub fn new() -> Result<HeadlessRenderer, HeadlessError> {
        let instance = wgpu::Instance::new(wgpu::InstanceDescriptor::new_without_display_handle_from_env());
        let adapter = pollster::block_on(instance.request_adapter(&wgpu::RequestAdapterOptions::default()))
            .map_err(|e| HeadlessError::NoAdapter(e.to_string()))?;
        let base_limits = wgpu::Limits::downlevel_webgl2_defaults().using_resolution(adapter.limits());
        let (device, queue) = pollster::block_on(adapter.request_device(&wgpu::DeviceDescriptor {
            label: Some("solid view"),
            required_limits: base_limits,
            ..Default::default()
        }))
        .map_err(|e| HeadlessError::NoDevice(e.to_string()))?;
        let renderer = SolidRenderer::new(&device, TextureFormat::Rgba8Unorm);
        let info = adapter.get_info();
        Ok(HeadlessRenderer { device, queue, renderer, adapter: format!("{} ({})", info.name, info.backend) })
    }

    /// Name of the adapter in use.
    pub fn adapter(&self) -> &str {
        &self.adapter
    }

    /// Draws a picture of this size in pixels and fetches it.
    pub fn render(
        &mut self,
        scene: &Scene,
        camera: &Camera,
        size_px: [u32; 2],
        options: &PictureOptions,
    ) -> Result<RgbaImage, HeadlessError> {
        self.renderer.render(&self.device, &self.queue, scene, camera, size_px, options);
        let texture = self.renderer.texture().ok_or_else(|| HeadlessError::NoPicture("nothing was drawn".into()))?;
        fetch(&self.device, &self.queue, texture)
    }
}

/// Draws one picture of a scene, `size_px` in pixels, nothing chosen, marks shown. For several pictures keep
/// a [`HeadlessRenderer`].
pub fn render_headless(
    scene: &Scene,
    camera: &Camera,
    size_px: [u32; 2],
    theme: Theme,
) -> Result<RgbaImage, HeadlessError> {
    HeadlessRenderer::new()?.render(scene, camera, size_px, &PictureOptions { theme, ..Default::default() })
}

fn fetch(device: &wgpu::Device, queue: &wgpu::Queue, texture: &wgpu::Texture) -> Result<RgbaImage, HeadlessError> {
    let failed = |e: &dyn std::fmt::Display| HeadlessError::NoPicture(e.to_string());
    let (width, height) = (texture.width(), texture.height());
    let row = width * 4;
    let padded = row.next_multiple_of(wgpu::COPY_BYTES_PER_ROW_ALIGNMENT);
    let buffer = device.create_buffer(&wgpu::BufferDescriptor {
        label: Some("picture"),
        size: u64::from(padded) * u64::from(height),
        usage: wgpu::BufferUsages::MAP_READ | wgpu::BufferUsages::COPY_DST,
        mapped_at_creation: false,
    });
    let mut encoder = device.create_command_encoder(&wgpu::CommandEncoderDescriptor { label: Some("picture") });
    encoder.copy_texture_to_buffer(
        texture.as_image_copy(),
        wgpu::TexelCopyBufferInfo {
            buffer: &buffer,
            layout: wgpu::TexelCopyBufferLayout { offset: 0, bytes_per_row: Some(padded), rows_per_image: None },
        },
        wgpu::Extent3d { width, height, depth_or_array_layers: 1 },
    );
    let submitted = queue.submit([encoder.finish()]);
    let (sender, receiver) = std::sync::mpsc::channel();
    buffer.slice(..).map_async(wgpu::MapMode::Read, move |answer| {
        // The receiver waits below; should it be gone, nobody wants the answer.
        let _ = sender.send(answer);
    });
    device
        .poll(wgpu::PollType::Wait { submission_index: Some(submitted), timeout: Some(PATIENCE) })
        .map_err(|e| failed(&e))?;
    receiver.recv().map_err(|e| failed(&e))?.map_err(|e| failed(&e))?;
    let data = buffer.slice(..).get_mapped_range().map_err(|e| failed(&e))?;
    let mut pixels = Vec::with_capacity(row as usize * height as usize);
    for line in data.chunks_exact(padded as usize) {
        pixels.extend_from_slice(&line[..row as usize]);
    }
    RgbaImage::from_raw(width, height, pixels).ok_or_else(|| failed(&"its size is wrong"))
}
