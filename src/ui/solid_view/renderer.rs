//! Draws a scene into a texture of its own.

use std::collections::HashMap;

use wgpu::util::DeviceExt;
use wgpu::{BindGroup, Buffer, BufferUsages, Device, Queue, RenderPass, Texture, TextureFormat, TextureView};

use crate::view::camera::Camera;
use crate::view::scene::{PartMesh, Scene, Selection, Theme};

use super::card::{Shape, Target, data_texture, shape, texture};
use super::frame::{FrameUniform, STITCH_WIDTH, TABLE_WIDTH, TableBases, stitch_table, table};
use super::geometry::{bead_places, bob, bob_place, ink, sphere};
use super::pipelines::{Pipelines, SHADOW};

/// What a picture shows besides the scene.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PictureOptions {
    /// Light or dark surroundings.
    pub theme: Theme,
    /// What is chosen and glows.
    pub selection: Selection,
    /// Increases and decreases are marked.
    pub marks: bool,
    /// Physical pixels to a logical one (widths of lines).
    pub pixels_per_point: f32,
}

impl Default for PictureOptions {
    fn default() -> Self {
        PictureOptions { theme: Theme::Light, selection: Selection::default(), marks: true, pixels_per_point: 1.0 }
    }
}

/// Side of the map of the floor's shadow in texels.
const SHADOW_SIDE: u32 = 256;

/// What was uploaded for a scene.
#[derive(Debug)]
struct Uploaded {
    generation: u64,
    theme: Theme,
    bases: TableBases,
    frame_group: BindGroup,
    part_numbers: Buffer,
    beads: Option<(Buffer, u32)>,
    bob: Option<Buffer>,
    ink: Option<Shape>,
}

/// Draws scenes. Keeps the meshes of the scene last drawn on the graphics card.
#[derive(Debug)]
pub struct SolidRenderer {
    format: TextureFormat,
    pipelines: Pipelines,
    uniform: Buffer,
    sphere: Shape,
    bob: Shape,
    meshes: HashMap<u64, Shape>,
    shadow_view: TextureView,
    shadow_group: BindGroup,
    shadow_generation: u64,
    uploaded: Option<Uploaded>,
    target: Option<Target>,
}

impl SolidRenderer {
    /// A renderer for a device. `format` is the picture's; the shaders write gamma-encoded colour, so it must
    /// be one without `Srgb` (`Rgba8Unorm` for egui).
    pub fn new(device: &Device, format: TextureFormat) -> SolidRenderer {
        let pipelines = Pipelines::new(device, format);
        let uniform = device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("frame"),
            size: std::mem::size_of::<FrameUniform>() as u64,
            usage: BufferUsages::UNIFORM | BufferUsages::COPY_DST,
            mapped_at_creation: false,
        });
        let shadow = texture(device, "shadow", [SHADOW_SIDE; 2], SHADOW, 1, wgpu::TextureUsages::TEXTURE_BINDING);
        let shadow_view = shadow.create_view(&wgpu::TextureViewDescriptor::default());
        let sampler = device.create_sampler(&wgpu::SamplerDescriptor {
            label: Some("shadow"),
            mag_filter: wgpu::FilterMode::Linear,
            min_filter: wgpu::FilterMode::Linear,
            ..Default::default()
        });
        let shadow_group = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("shadow"),
            layout: &pipelines.shadow_layout,
            entries: &[
                wgpu::BindGroupEntry { binding: 0, resource: wgpu::BindingResource::TextureView(&shadow_view) },
                wgpu::BindGroupEntry { binding: 1, resource: wgpu::BindingResource::Sampler(&sampler) },
            ],
        });
        let (sphere_corners, sphere_indices) = sphere();
        let (bob_corners, bob_indices) = bob();
        SolidRenderer {
            format,
            sphere: shape(device, "sphere", bytemuck::cast_slice(&sphere_corners), &sphere_indices),
            bob: shape(device, "plumb bob", bytemuck::cast_slice(&bob_corners), &bob_indices),
            pipelines,
            uniform,
            meshes: HashMap::new(),
            shadow_view,
            shadow_group,
            shadow_generation: 0,
            uploaded: None,
            target: None,
        }
    }

    /// Draws the scene and returns the picture, `size_px` in physical pixels (at least 1, at most what the
    /// device can do). The view stays the same as long as the size does.
    pub fn render(
        &mut self,
        device: &Device,
        queue: &Queue,
        scene: &Scene,
        camera: &Camera,
        size_px: [u32; 2],
        options: &PictureOptions,
    ) -> &TextureView {
        let most = device.limits().max_texture_dimension_2d;
        let size = size_px.map(|s| s.clamp(1, most));
        self.upload(device, queue, scene, options.theme);
        let mut target = match self.target.take() {
            Some(target) if target.size == size => target,
            _ => Target::new(device, self.format, size),
        };
        if let Some(uploaded) = &self.uploaded {
            let uniform = FrameUniform::new(scene, camera, size, options, uploaded.bases.to_array());
            queue.write_buffer(&self.uniform, 0, bytemuck::bytes_of(&uniform));
            let mut encoder =
                device.create_command_encoder(&wgpu::CommandEncoderDescriptor { label: Some("solid view") });
            if self.shadow_generation != scene.generation {
                self.draw_shadow_map(&mut encoder, uploaded);
                self.shadow_generation = scene.generation;
            }
            self.draw(&mut encoder, &mut target, scene, camera, uploaded);
            queue.submit([encoder.finish()]);
        }
        &self.target.insert(target).view
    }

    /// The texture of the picture last drawn.
    pub fn texture(&self) -> Option<&Texture> {
        self.target.as_ref().map(|t| &t.colour)
    }

    /// Brings the card up to the scene: meshes it does not have yet, the tables, the overlays.
    fn upload(&mut self, device: &Device, queue: &Queue, scene: &Scene, theme: Theme) {
        if self.uploaded.as_ref().is_some_and(|u| u.generation == scene.generation && u.theme == theme) {
            return;
        }
        self.meshes.retain(|id, _| scene.parts.iter().any(|p| p.mesh.id == *id));
        for part in &scene.parts {
            let mesh: &PartMesh = &part.mesh;
            if !mesh.indices.is_empty() {
                self.meshes
                    .entry(mesh.id)
                    .or_insert_with(|| shape(device, "part", bytemuck::cast_slice(&mesh.vertices), &mesh.indices));
            }
        }
        let (texels, bases) = table(scene);
        let numbers = data_texture(
            device,
            queue,
            "table",
            TABLE_WIDTH,
            TextureFormat::Rgba32Float,
            bytemuck::cast_slice(&texels),
        );
        let stitches =
            data_texture(device, queue, "stitches", STITCH_WIDTH, TextureFormat::R8Uint, &stitch_table(scene));
        let frame_group = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("frame"),
            layout: &self.pipelines.frame_layout,
            entries: &[
                wgpu::BindGroupEntry { binding: 0, resource: self.uniform.as_entire_binding() },
                wgpu::BindGroupEntry { binding: 1, resource: wgpu::BindingResource::TextureView(&numbers) },
                wgpu::BindGroupEntry { binding: 2, resource: wgpu::BindingResource::TextureView(&stitches) },
            ],
        });
        let vertex_buffer = |label: &str, bytes: &[u8]| {
            device.create_buffer_init(&wgpu::util::BufferInitDescriptor {
                label: Some(label),
                contents: bytes,
                usage: BufferUsages::VERTEX,
            })
        };
        let part_numbers: Vec<u32> = (0..scene.parts.len().max(1) as u32).collect();
        let beads = bead_places(scene);
        let (ink_corners, ink_indices) = ink(scene, theme);
        self.uploaded = Some(Uploaded {
            generation: scene.generation,
            theme,
            bases,
            frame_group,
            part_numbers: vertex_buffer("parts", bytemuck::cast_slice(&part_numbers)),
            beads: (!beads.is_empty())
                .then(|| (vertex_buffer("beads", bytemuck::cast_slice(&beads)), beads.len() as u32)),
            bob: bob_place(scene).map(|p| vertex_buffer("plumb bob", bytemuck::bytes_of(&p))),
            ink: (!ink_indices.is_empty())
                .then(|| shape(device, "ink", bytemuck::cast_slice(&ink_corners), &ink_indices)),
        });
    }

    fn draw_shadow_map(&self, encoder: &mut wgpu::CommandEncoder, uploaded: &Uploaded) {
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some("shadow map"),
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view: &self.shadow_view,
                depth_slice: None,
                resolve_target: None,
                ops: wgpu::Operations { load: wgpu::LoadOp::Clear(wgpu::Color::BLACK), store: wgpu::StoreOp::Store },
            })],
            ..Default::default()
        });
        pass.set_bind_group(0, &uploaded.frame_group, &[]);
        pass.set_pipeline(&self.pipelines.shadow_map);
        pass.draw(0..3, 0..1);
    }

    fn draw(
        &self,
        encoder: &mut wgpu::CommandEncoder,
        target: &mut Target,
        scene: &Scene,
        camera: &Camera,
        uploaded: &Uploaded,
    ) {
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some("solid view"),
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view: &target.samples,
                depth_slice: None,
                resolve_target: Some(&target.view),
                ops: wgpu::Operations { load: wgpu::LoadOp::Clear(wgpu::Color::BLACK), store: wgpu::StoreOp::Discard },
            })],
            depth_stencil_attachment: Some(wgpu::RenderPassDepthStencilAttachment {
                view: &target.depth,
                depth_ops: Some(wgpu::Operations { load: wgpu::LoadOp::Clear(1.0), store: wgpu::StoreOp::Discard }),
                stencil_ops: None,
            }),
            ..Default::default()
        });
        let pipelines = &self.pipelines;
        pass.set_bind_group(0, &uploaded.frame_group, &[]);
        pass.set_pipeline(&pipelines.background);
        pass.draw(0..3, 0..1);
        self.draw_parts(&mut pass, scene, camera, uploaded);
        pass.set_pipeline(&pipelines.plain);
        if let Some((places, count)) = &uploaded.beads {
            draw_shape(&mut pass, &self.sphere, Some(places), *count);
        }
        if let Some(place) = &uploaded.bob {
            // The veil first, while the depth of the weight itself is not yet there.
            pass.set_pipeline(&pipelines.plain_through);
            draw_shape(&mut pass, &self.bob, Some(place), 1);
            pass.set_pipeline(&pipelines.plain);
            draw_shape(&mut pass, &self.bob, Some(place), 1);
        }
        if camera.eye().z > scene.floor_z_mm {
            pass.set_pipeline(&pipelines.ground);
            pass.set_bind_group(1, &self.shadow_group, &[]);
            pass.draw(0..4, 0..1);
        }
        if let Some(ink) = &uploaded.ink {
            pass.set_pipeline(&pipelines.ink_through);
            draw_shape(&mut pass, ink, None, 1);
            pass.set_pipeline(&pipelines.ink);
            draw_shape(&mut pass, ink, None, 1);
        }
    }

    /// The parts, the nearest first: what they hide is then not shaded at all.
    fn draw_parts(&self, pass: &mut RenderPass, scene: &Scene, camera: &Camera, uploaded: &Uploaded) {
        let eye = camera.eye();
        let nearness = |i: &usize| {
            let part = &scene.parts[*i];
            let (middle, reach) = part.mesh.sphere();
            (part.toy_from_part.transform_point3(middle) - eye).length() - reach
        };
        let mut order: Vec<usize> = (0..scene.parts.len()).filter(|i| scene.parts[*i].rounds > 0).collect();
        order.sort_by(|a, b| nearness(a).total_cmp(&nearness(b)));
        for i in order {
            let part = &scene.parts[i];
            let Some(shape) = self.meshes.get(&part.mesh.id) else { continue };
            let mirrored = part.toy_from_part.matrix3.determinant() < 0.0;
            pass.set_pipeline(match (part.mesh.closed, mirrored) {
                (true, false) => &self.pipelines.closed,
                (true, true) => &self.pipelines.closed_mirrored,
                (false, false) => &self.pipelines.open,
                (false, true) => &self.pipelines.open_mirrored,
            });
            pass.set_vertex_buffer(0, shape.corners.slice(..));
            pass.set_vertex_buffer(1, uploaded.part_numbers.slice(4 * i as u64..4 * i as u64 + 4));
            pass.set_index_buffer(shape.indices.slice(..), wgpu::IndexFormat::Uint32);
            pass.draw_indexed(0..shape.count, 0, 0..1);
        }
    }
}

fn draw_shape(pass: &mut RenderPass, shape: &Shape, places: Option<&Buffer>, count: u32) {
    pass.set_vertex_buffer(0, shape.corners.slice(..));
    if let Some(places) = places {
        pass.set_vertex_buffer(1, places.slice(..));
    }
    pass.set_index_buffer(shape.indices.slice(..), wgpu::IndexFormat::Uint32);
    pass.draw_indexed(0..shape.count, 0, 0..count);
}
