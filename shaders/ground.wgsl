// The background, the shadow on the floor, and the map that shadow is read from.

@group(1) @binding(0) var shadow_map: texture_2d<f32>;
@group(1) @binding(1) var shadow_sampler: sampler;

struct Screen {
    @builtin(position) clip: vec4<f32>,
    @location(0) at: vec2<f32>,
}

@vertex
fn vs_screen(@builtin(vertex_index) i: u32) -> Screen {
    let at = vec2<f32>(f32((i << 1u) & 2u), f32(i & 2u));
    var out: Screen;
    out.clip = vec4<f32>(at * 2.0 - 1.0, 1.0, 1.0);
    out.at = at;
    return out;
}

@fragment
fn fs_background(in: Screen) -> @location(0) vec4<f32> {
    let from_middle = (in.at - vec2<f32>(0.5, 0.55)) * vec2<f32>(1.0, 0.9);
    let vignette = 1.0 - 0.16 * smoothstep(0.1, 0.6, dot(from_middle, from_middle));
    let colour = mix(frame.bottom.rgb, frame.top.rgb, smoothstep(0.0, 0.85, in.at.y)) * vignette;
    // A grain of half a step hides the bands of a slow gradient.
    let grain = (hash(in.clip.xy) - 0.5) / 255.0;
    return vec4<f32>(encode(colour) + grain, 1.0);
}

// How much of the light from above the toy keeps off a place on the floor.
@fragment
fn fs_shadow_map(in: Screen) -> @location(0) vec4<f32> {
    let offset = (in.at - 0.5) * 2.0 * frame.ground.w;
    let place = vec3<f32>(frame.ground.xy + offset, frame.ground.z);
    var open = 1.0;
    var contact = 1.0;
    for (var k = 0; k < frame.counts.x; k++) {
        let ball = entry(frame.bases.w + k);
        let to = ball.xyz - place;
        let d2 = max(dot(to, to), ball.w * ball.w * 0.25);
        let height = max(to.z, 0.0);
        let blocked = clamp(height / sqrt(d2) * ball.w * ball.w / d2, 0.0, 1.0);
        open *= 1.0 - 0.62 * blocked;
        let gap = max(ball.z - ball.w - frame.ground.z, 0.0);
        let reach = 0.55 * ball.w + 0.9 * gap + 2.0;
        let touch = exp(-dot(to.xy, to.xy) / (reach * reach)) * exp(-gap / (0.22 * ball.w + 1.0));
        contact *= 1.0 - 0.55 * touch;
    }
    return vec4<f32>(1.0 - open * contact, 0.0, 0.0, 1.0);
}

struct Floor {
    @builtin(position) clip: vec4<f32>,
    @location(0) at: vec2<f32>,
}

@vertex
fn vs_ground(@builtin(vertex_index) i: u32) -> Floor {
    let at = vec2<f32>(f32(i & 1u), f32(i >> 1u));
    let offset = (at - 0.5) * 2.0 * frame.ground.w;
    var out: Floor;
    out.clip = frame.clip_from_toy * vec4<f32>(frame.ground.xy + offset, frame.ground.z, 1.0);
    out.at = at;
    return out;
}

@fragment
fn fs_ground(in: Floor) -> @location(0) vec4<f32> {
    let shadow = textureSample(shadow_map, shadow_sampler, vec2<f32>(in.at.x, 1.0 - in.at.y)).r;
    let from_middle = length(in.at - 0.5) * 2.0;
    let fade = 1.0 - smoothstep(0.55, 1.0, from_middle);
    let grain = (hash(in.clip.xy) - 0.5) * 0.008;
    let cover = clamp(shadow * frame.bottom.w * fade + grain * fade, 0.0, 1.0);
    return vec4<f32>(encode(frame.bottom.rgb * 0.10), cover);
}
