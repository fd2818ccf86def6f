// Smooth hard things: eyes, noses, the plumb line's weight.

struct Corner {
    @location(0) position: vec3<f32>,
    @location(1) normal: vec3<f32>,
    @location(2) place: vec4<f32>,    // centre in mm, scale
    @location(3) look: vec4<f32>,     // linear colour, gloss (0 to 1, above 1: metal)
}

struct Surface {
    @builtin(position) clip: vec4<f32>,
    @location(0) toy: vec3<f32>,
    @location(1) normal: vec3<f32>,
    @location(2) @interpolate(flat) look: vec4<f32>,
}

@vertex
fn vs_plain(corner: Corner) -> Surface {
    let toy = corner.place.xyz + corner.position * corner.place.w;
    var out: Surface;
    out.clip = frame.clip_from_toy * vec4<f32>(toy, 1.0);
    out.toy = toy;
    out.normal = corner.normal;
    out.look = corner.look;
    return out;
}

// A studio with a bright window above, mirrored in polished things.
fn studio(direction: vec3<f32>) -> vec3<f32> {
    let window = smoothstep(0.90, 0.955, dot(direction, frame.to_key.xyz));
    let strip = smoothstep(0.30, 0.42, direction.z) * (1.0 - smoothstep(0.62, 0.80, direction.z));
    return ambient(direction) * 0.7 + vec3<f32>(2.8) * window + vec3<f32>(0.16) * strip;
}

fn shaded(in: Surface) -> vec3<f32> {
    let n = normalize(in.normal);
    let to_eye = normalize(frame.eye.xyz - in.toy);
    let key = clamp((dot(n, frame.to_key.xyz) + 0.15) / 1.15, 0.0, 1.0);
    let facing = clamp(dot(n, to_eye), 0.0, 1.0);
    let gloss = min(in.look.w, 1.0);
    let metal = clamp(in.look.w - 1.0, 0.0, 1.0);
    let mirror = studio(reflect(-to_eye, n));
    let fresnel = 0.04 + 0.96 * pow(1.0 - facing, 5.0);
    let matt = in.look.rgb * (frame.key.rgb * key + ambient(n)) * (1.0 - 0.6 * metal);
    let shine = mirror * gloss * mix(vec3<f32>(fresnel + 0.05), in.look.rgb * 0.85, metal);
    return tone(matt + shine);
}

@fragment
fn fs_plain(in: Surface) -> @location(0) vec4<f32> {
    return vec4<f32>(encode(shaded(in)), 1.0);
}

// Where the toy hides it, a thing shows through as a veil.
@fragment
fn fs_through(in: Surface) -> @location(0) vec4<f32> {
    return vec4<f32>(encode(shaded(in)), 0.85);
}
