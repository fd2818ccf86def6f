// What every shader of the solid view shares: the frame's uniforms, the table of parts and rounds, light.

struct Frame {
    clip_from_toy: mat4x4<f32>,
    eye: vec4<f32>,       // xyz in mm; w: picture height in physical pixels
    right: vec4<f32>,     // xyz unit vector; w: picture width in physical pixels
    up: vec4<f32>,        // xyz unit vector; w: physical pixels to a logical one
    to_key: vec4<f32>,    // toward the key light; w: mm at 1 mm distance to one physical pixel
    key: vec4<f32>,
    sky: vec4<f32>,
    bounce: vec4<f32>,
    rim: vec4<f32>,
    glow: vec4<f32>,
    top: vec4<f32>,
    bottom: vec4<f32>,    // w: darkest shadow on the floor
    ground: vec4<f32>,    // x, y of the shadow's middle, floor height, half its side, in mm
    chosen: vec4<i32>,    // part, round (-1: none), marks shown, 1 when the floor is seen from above
    bases: vec4<i32>,     // first texel of rounds, palette, neighbours, shadow casters
    counts: vec4<i32>,    // shadow casters; rest unused
}

@group(0) @binding(0) var<uniform> frame: Frame;
// Numbers, four to a texel, 1024 texels to a row.
@group(0) @binding(1) var table: texture_2d<f32>;
// One byte a stitch, 2048 to a row.
@group(0) @binding(2) var stitches: texture_2d<u32>;

fn entry(i: i32) -> vec4<f32> {
    return textureLoad(table, vec2<i32>(i & 1023, i >> 10u), 0);
}

fn stitch_byte(i: i32) -> u32 {
    return textureLoad(stitches, vec2<i32>(i & 2047, i >> 11u), 0).r;
}

// Linear light to sRGB (IEC 61966-2-1).
fn encode(linear: vec3<f32>) -> vec3<f32> {
    let c = clamp(linear, vec3<f32>(0.0), vec3<f32>(1.0));
    let low = c * 12.92;
    let high = 1.055 * pow(max(c, vec3<f32>(1e-6)), vec3<f32>(1.0 / 2.4)) - 0.055;
    return select(high, low, c <= vec3<f32>(0.0031308));
}

// Bright light bends toward white in place of being cut off.
fn tone(linear: vec3<f32>) -> vec3<f32> {
    let c = max(linear, vec3<f32>(0.0));
    let knee = vec3<f32>(0.7);
    let over = max(c - knee, vec3<f32>(0.0));
    return min(c, knee) + over / (1.0 + over / 0.3);
}

fn hash(p: vec2<f32>) -> f32 {
    let q = fract(p * vec2<f32>(0.1031, 0.1030));
    let r = q + dot(q, q.yx + 33.33);
    return fract((r.x + r.y) * r.x);
}

// Light from all around: sky above, floor below.
fn ambient(normal: vec3<f32>) -> vec3<f32> {
    let up = 0.5 + 0.5 * normal.z;
    return mix(frame.bounce.rgb, frame.sky.rgb, up);
}
