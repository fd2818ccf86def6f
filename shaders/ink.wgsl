// Overlays: lines of even width on screen, fills, and the mark of the centre of mass.

struct Corner {
    @location(0) a: vec3<f32>,
    @location(1) b: vec3<f32>,
    @location(2) corner: vec2<f32>,   // lines: which end (0, 1), which side (-1, 1); marks: corner of the square
    @location(3) style: vec4<f32>,    // width or radius and dash in logical pixels; kind (0 line, 1 fill, 2 mark); through
    @location(4) colour: vec4<f32>,   // sRGB and opacity
}

struct Stroke {
    @builtin(position) clip: vec4<f32>,
    @location(0) across: vec2<f32>,                      // physical pixels from the middle
    @location(1) run: f32,                               // physical pixels along the line
    @location(2) @interpolate(flat) style: vec4<f32>,
    @location(3) @interpolate(flat) colour: vec4<f32>,
}

fn pixel(clip: vec4<f32>) -> vec2<f32> {
    return clip.xy / max(clip.w, 1e-4) * 0.5 * vec2<f32>(frame.right.w, frame.eye.w);
}

@vertex
fn vs_ink(in: Corner) -> Stroke {
    let px = frame.up.w;
    let size = vec2<f32>(frame.right.w, frame.eye.w);
    let clip_a = frame.clip_from_toy * vec4<f32>(in.a, 1.0);
    let clip_b = frame.clip_from_toy * vec4<f32>(in.b, 1.0);
    var out: Stroke;
    out.style = vec4<f32>(in.style.xy * px, in.style.zw);
    out.colour = in.colour;
    out.clip = clip_a;
    out.across = vec2<f32>(0.0);
    out.run = 0.0;
    if in.style.z < 0.5 {
        let at = select(clip_a, clip_b, in.corner.x > 0.5);
        let way = pixel(clip_b) - pixel(clip_a);
        let long = max(length(way), 1e-4);
        let side = vec2<f32>(-way.y, way.x) / long;
        let half = 0.5 * out.style.x + 1.0;
        let tip = way / long * (in.corner.x * 2.0 - 1.0) * 0.5 * out.style.x;
        let shift = side * in.corner.y * half + tip;
        out.clip = vec4<f32>(at.xy + shift * 2.0 / size * at.w, at.zw);
        out.across = vec2<f32>(in.corner.y * half, 0.0);
        out.run = in.corner.x * long;
    } else if in.style.z > 1.5 {
        let reach = out.style.x + 1.5;
        let shift = in.corner * reach;
        out.clip = vec4<f32>(clip_a.xy + shift * 2.0 / size * clip_a.w, clip_a.zw);
        out.across = in.corner * reach;
    }
    return out;
}

fn inked(in: Stroke) -> vec4<f32> {
    if in.style.z < 0.5 {
        var cover = clamp(0.5 * in.style.x + 0.5 - abs(in.across.x), 0.0, 1.0);
        if in.style.y > 0.0 {
            let place = fract(in.run / in.style.y * 0.5) * 2.0 * in.style.y;
            cover *= clamp(min(place, in.style.y * 1.15 - place) + 0.5, 0.0, 1.0);
        }
        return vec4<f32>(in.colour.rgb, in.colour.a * cover);
    }
    if in.style.z > 1.5 {
        // The usual sign of a centre of mass: a disc in quarters, two of them filled.
        let d = length(in.across);
        let outer = clamp(in.style.x - d + 0.5, 0.0, 1.0);
        let ring = clamp(d - in.style.x * 0.80 + 0.5, 0.0, 1.0);
        let quarter = clamp(in.across.x + 0.5, 0.0, 1.0) - clamp(in.across.y + 0.5, 0.0, 1.0);
        let filled = max(ring, abs(quarter));
        let paper = select(vec3<f32>(0.10, 0.10, 0.12), vec3<f32>(1.0), dot(in.colour.rgb, vec3<f32>(0.3, 0.6, 0.1)) < 0.5);
        return vec4<f32>(mix(paper, in.colour.rgb, filled), in.colour.a * outer);
    }
    return in.colour;
}

@fragment
fn fs_ink(in: Stroke) -> @location(0) vec4<f32> {
    return inked(in);
}

// Where the toy hides it.
@fragment
fn fs_ink_through(in: Stroke) -> @location(0) vec4<f32> {
    let ink = inked(in);
    return vec4<f32>(ink.rgb, ink.a * in.style.w);
}
