//! The drawing machinery of the graphics card, made once for a device.

use wgpu::{
    BindGroupLayout, BlendState, CompareFunction, Device, FrontFace, RenderPipeline, ShaderModule, TextureFormat,
    VertexBufferLayout, VertexStepMode,
};

use crate::view::scene::Vertex;

use super::geometry::{InkCorner, PlainCorner, PlainPlace};

/// Samples to a pixel.
pub(super) const SAMPLES: u32 = 4;
/// Format of the depth texture.
pub(super) const DEPTH: TextureFormat = TextureFormat::Depth32Float;
/// Format of the map of the floor's shadow.
pub(super) const SHADOW: TextureFormat = TextureFormat::R8Unorm;

/// All pipelines and the layouts of what they read.
#[derive(Debug)]
pub(super) struct Pipelines {
    pub(super) frame_layout: BindGroupLayout,
    pub(super) shadow_layout: BindGroupLayout,
    pub(super) background: RenderPipeline,
    /// Closed parts, seen from outside only.
    pub(super) closed: RenderPipeline,
    /// The same, mirrored.
    pub(super) closed_mirrored: RenderPipeline,
    /// Open parts, whose inside may be seen.
    pub(super) open: RenderPipeline,
    /// The same, mirrored.
    pub(super) open_mirrored: RenderPipeline,
    pub(super) plain: RenderPipeline,
    pub(super) plain_through: RenderPipeline,
    pub(super) ground: RenderPipeline,
    pub(super) ink: RenderPipeline,
    pub(super) ink_through: RenderPipeline,
    pub(super) shadow_map: RenderPipeline,
}

/// What differs from pipeline to pipeline.
struct Recipe<'a> {
    label: &'a str,
    module: &'a ShaderModule,
    vertex: &'a str,
    fragment: &'a str,
    buffers: &'a [Option<VertexBufferLayout<'a>>],
    cull: bool,
    front: FrontFace,
    strip: bool,
    blend: bool,
    depth: Option<(CompareFunction, bool)>,
    samples: u32,
    format: TextureFormat,
    reads_shadow: bool,
}

impl Pipelines {
    pub(super) fn new(device: &Device, format: TextureFormat) -> Pipelines {
        let frame_layout = frame_layout(device);
        let shadow_layout = shadow_layout(device);
        let module = |label: &str, source: &str| {
            let text = format!("{}\n{source}", include_str!("../../../shaders/frame.wgsl"));
            device.create_shader_module(wgpu::ShaderModuleDescriptor {
                label: Some(label),
                source: wgpu::ShaderSource::Wgsl(text.into()),
            })
        };
        let fabric = module("fabric", include_str!("../../../shaders/fabric.wgsl"));
        let floor = module("ground", include_str!("../../../shaders/ground.wgsl"));
        let hard = module("plain", include_str!("../../../shaders/plain.wgsl"));
        let pen = module("ink", include_str!("../../../shaders/ink.wgsl"));

        let fabric_attributes = wgpu::vertex_attr_array![0 => Float32x3, 1 => Snorm16x4, 2 => Float32, 3 => Float32];
        let part_attributes = wgpu::vertex_attr_array![4 => Uint32];
        let fabric_buffers = [
            buffer::<Vertex>(VertexStepMode::Vertex, &fabric_attributes),
            buffer::<u32>(VertexStepMode::Instance, &part_attributes),
        ];
        let plain_attributes = wgpu::vertex_attr_array![0 => Float32x3, 1 => Float32x3];
        let place_attributes = wgpu::vertex_attr_array![2 => Float32x4, 3 => Float32x4];
        let plain_buffers = [
            buffer::<PlainCorner>(VertexStepMode::Vertex, &plain_attributes),
            buffer::<PlainPlace>(VertexStepMode::Instance, &place_attributes),
        ];
        let ink_attributes =
            wgpu::vertex_attr_array![0 => Float32x3, 1 => Float32x3, 2 => Float32x2, 3 => Float32x4, 4 => Unorm8x4];
        let ink_buffers = [buffer::<InkCorner>(VertexStepMode::Vertex, &ink_attributes)];

        // The toy's frame is left-handed, so a mesh wound counterclockwise shows clockwise.
        let base = Recipe {
            label: "fabric",
            module: &fabric,
            vertex: "vs_fabric",
            fragment: "fs_fabric",
            buffers: &fabric_buffers,
            cull: true,
            front: FrontFace::Cw,
            strip: false,
            blend: false,
            depth: Some((CompareFunction::Less, true)),
            samples: SAMPLES,
            format,
            reads_shadow: false,
        };
        let screen = Recipe {
            module: &floor,
            vertex: "vs_screen",
            fragment: "fs_background",
            buffers: &[],
            cull: false,
            depth: Some((CompareFunction::Always, false)),
            label: "background",
            ..base
        };
        let plain = Recipe {
            label: "plain",
            module: &hard,
            vertex: "vs_plain",
            fragment: "fs_plain",
            buffers: &plain_buffers,
            ..base
        };
        let ink = Recipe {
            label: "ink",
            module: &pen,
            vertex: "vs_ink",
            fragment: "fs_ink",
            buffers: &ink_buffers,
            cull: false,
            blend: true,
            depth: Some((CompareFunction::LessEqual, false)),
            ..base
        };
        let ground = Recipe {
            label: "ground",
            vertex: "vs_ground",
            fragment: "fs_ground",
            strip: true,
            blend: true,
            depth: Some((CompareFunction::LessEqual, false)),
            reads_shadow: true,
            ..screen
        };
        let shadow_map = Recipe {
            label: "shadow map",
            fragment: "fs_shadow_map",
            depth: None,
            samples: 1,
            format: SHADOW,
            ..screen
        };
        let hidden = Some((CompareFunction::Greater, false));
        let make = |recipe: &Recipe| pipeline(device, &frame_layout, &shadow_layout, recipe);
        Pipelines {
            background: make(&screen),
            closed: make(&base),
            closed_mirrored: make(&Recipe { front: FrontFace::Ccw, ..base }),
            open: make(&Recipe { cull: false, ..base }),
            open_mirrored: make(&Recipe { cull: false, front: FrontFace::Ccw, ..base }),
            plain: make(&plain),
            plain_through: make(&Recipe { fragment: "fs_through", blend: true, depth: hidden, ..plain }),
            ground: make(&ground),
            ink: make(&ink),
            ink_through: make(&Recipe { fragment: "fs_ink_through", depth: hidden, ..ink }),
            shadow_map: make(&shadow_map),
            frame_layout,
            shadow_layout,
        }
    }
}

fn buffer<T>(step_mode: VertexStepMode, attributes: &[wgpu::VertexAttribute]) -> Option<VertexBufferLayout<'_>> {
    Some(VertexBufferLayout { array_stride: std::mem::size_of::<T>() as u64, step_mode, attributes })
}

fn texture_entry(binding: u32, sample_type: wgpu::TextureSampleType) -> wgpu::BindGroupLayoutEntry {
    wgpu::BindGroupLayoutEntry {
        binding,
        visibility: wgpu::ShaderStages::VERTEX_FRAGMENT,
        ty: wgpu::BindingType::Texture {
            sample_type,
            view_dimension: wgpu::TextureViewDimension::D2,
            multisampled: false,
        },
        count: None,
    }
}

fn frame_layout(device: &Device) -> BindGroupLayout {
    device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
        label: Some("frame"),
        entries: &[
            wgpu::BindGroupLayoutEntry {
                binding: 0,
                visibility: wgpu::ShaderStages::VERTEX_FRAGMENT,
                ty: wgpu::BindingType::Buffer {
                    ty: wgpu::BufferBindingType::Uniform,
                    has_dynamic_offset: false,
                    min_binding_size: None,
                },
                count: None,
            },
            texture_entry(1, wgpu::TextureSampleType::Float { filterable: false }),
            texture_entry(2, wgpu::TextureSampleType::Uint),
        ],
    })
}

fn shadow_layout(device: &Device) -> BindGroupLayout {
    device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
        label: Some("shadow"),
        entries: &[
            texture_entry(0, wgpu::TextureSampleType::Float { filterable: true }),
            wgpu::BindGroupLayoutEntry {
                binding: 1,
                visibility: wgpu::ShaderStages::FRAGMENT,
                ty: wgpu::BindingType::Sampler(wgpu::SamplerBindingType::Filtering),
                count: None,
            },
        ],
    })
}

fn pipeline(device: &Device, frame: &BindGroupLayout, shadow: &BindGroupLayout, recipe: &Recipe) -> RenderPipeline {
    let with_shadow = [Some(frame), Some(shadow)];
    let layout = device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
        label: Some(recipe.label),
        bind_group_layouts: if recipe.reads_shadow { &with_shadow } else { &with_shadow[..1] },
        immediate_size: 0,
    });
    let topology =
        if recipe.strip { wgpu::PrimitiveTopology::TriangleStrip } else { wgpu::PrimitiveTopology::TriangleList };
    device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
        label: Some(recipe.label),
        layout: Some(&layout),
        vertex: wgpu::VertexState {
            module: recipe.module,
            entry_point: Some(recipe.vertex),
            compilation_options: wgpu::PipelineCompilationOptions::default(),
            buffers: recipe.buffers,
        },
        primitive: wgpu::PrimitiveState {
            topology,
            front_face: recipe.front,
            cull_mode: recipe.cull.then_some(wgpu::Face::Back),
            ..Default::default()
        },
        depth_stencil: recipe.depth.map(|(compare, write)| wgpu::DepthStencilState {
            format: DEPTH,
            depth_write_enabled: Some(write),
            depth_compare: Some(compare),
            stencil: wgpu::StencilState::default(),
            bias: wgpu::DepthBiasState::default(),
        }),
        multisample: wgpu::MultisampleState { count: recipe.samples, ..Default::default() },
        fragment: Some(wgpu::FragmentState {
            module: recipe.module,
            entry_point: Some(recipe.fragment),
            compilation_options: wgpu::PipelineCompilationOptions::default(),
            targets: &[Some(wgpu::ColorTargetState {
                format: recipe.format,
                blend: recipe.blend.then_some(BlendState::ALPHA_BLENDING),
                write_mask: wgpu::ColorWrites::ALL,
            })],
        }),
        multiview_mask: None,
        cache: None,
    })
}
