// The fabric: every stitch of every round at its true count, as a pair of plump yarn strands that form a V.

struct Corner {
    @location(0) position: vec3<f32>,
    @location(1) normal: vec4<f32>,
    @location(2) round_coord: f32,
    @location(3) core: f32,
    @location(4) part: u32,
}

struct Surface {
    @builtin(position) clip: vec4<f32>,
    @location(0) local: vec3<f32>,
    @location(1) local_normal: vec3<f32>,
    @location(2) toy: vec3<f32>,
    @location(3) along: vec2<f32>,                   // rounds from the start; half the section's core in mm
    @location(4) @interpolate(flat) part: u32,
}

@vertex
fn vs_fabric(corner: Corner) -> Surface {
    let base = i32(corner.part) * 5;
    let at = vec4<f32>(corner.position, 1.0);
    let toy = vec3<f32>(dot(entry(base), at), dot(entry(base + 1), at), dot(entry(base + 2), at));
    var out: Surface;
    out.clip = frame.clip_from_toy * vec4<f32>(toy, 1.0);
    out.local = corner.position;
    out.local_normal = corner.normal.xyz;
    out.toy = toy;
    out.along = vec2<f32>(corner.round_coord, corner.core);
    out.part = corner.part;
    return out;
}

const TAU: f32 = 6.2831853;

// Share of the section's perimeter at a place, and the perimeter, both as in the mesh's own code.
fn share_around(p: vec2<f32>, core: f32) -> vec2<f32> {
    if core < 1e-4 {
        return vec2<f32>(fract(atan2(p.y, p.x) / TAU + 1.0), TAU * length(p));
    }
    let out = vec2<f32>(p.x - clamp(p.x, -core, core), p.y);
    let radius = length(out);
    let quarter = radius * TAU / 4.0;
    let around = TAU * radius + 4.0 * core;
    let angle = atan2(out.y, out.x);
    var run = 0.0;
    if p.x > core {
        run = radius * angle;
    } else if p.x < -core {
        run = 2.0 * core + radius * select(angle, angle + TAU, angle < 0.0);
    } else if p.y >= 0.0 {
        run = quarter + core - p.x;
    } else {
        run = 3.0 * quarter + 2.0 * core + p.x + core;
    }
    return vec2<f32>(fract(run / around + 1.0), around);
}

// How one round is worked.
struct Row {
    count: f32,
    start: f32,
    tall: f32,
    ridge: f32,
    colour: vec3<f32>,
    first: i32,
}

fn row(part_first: i32, i: i32) -> Row {
    let at = frame.bases.x + 2 * (part_first + i);
    let a = entry(at);
    let b = entry(at + 1);
    return Row(max(a.x, 1.0), a.y, a.z, a.w, b.rgb, i32(b.w));
}

// Height of one strand of a V. `x`: distance from the stitch's middle toward the strand's side, in stitch
// widths; `y`: height within the round (it begins a little below 0 and ends a little above 1).
// Returns the height, and the place across (-1 to 1) and along the strand for the twist of its plies.
fn strand(x: f32, y: f32, tall: f32) -> vec3<f32> {
    // A taller stitch stands on a post: its V keeps its size at the top.
    let v = 1.0 - (1.0 - y) * max(tall, 1.0);
    let t = clamp((v + 0.14) / 1.28, 0.0, 1.0);
    let centre = 0.055 + 0.325 * pow(t, 0.9);
    let half = mix(0.135, 0.235, smoothstep(0.0, 0.6, t));
    let s = (x - centre) / half;
    let cap = max(1.0 - s * s, 0.0);
    let ends = smoothstep(-0.16, 0.14, y) * (1.0 - smoothstep(0.94, 1.24, y));
    return vec3<f32>(sqrt(cap) * (0.45 + 0.55 * ends) * step(0.001, ends) * smoothstep(0.0, 0.25, ends), s, y * max(tall, 1.0));
}

// Height of a round's strands at `x` (-0.5 to 0.5 across the stitch).
fn row_relief(x: f32, y: f32, tall: f32, twist: f32) -> f32 {
    let ax = abs(x);
    let own = strand(ax, y, tall);
    let other = strand(1.0 - ax, y, tall);
    var top = own;
    var side = sign(x);
    if other.x > own.x {
        top = other;
        side = -side;
    }
    // The plies of the yarn wind around the strand, the same way on both sides.
    let wind = sin(TAU * (top.z * 2.6 + side * top.y * 0.42));
    return top.x * (1.0 + twist * 0.085 * wind);
}

// The free front loops below a round worked into the back loops: a line of slanted links.
fn ridge_relief(x: f32, y: f32) -> f32 {
    let middle = 0.13 + 0.05 * sin(TAU * (x + 0.1));
    let s = (y - middle) / 0.15;
    return sqrt(max(1.0 - s * s, 0.0)) * (1.12 - 0.30 * pow(abs(cos(0.5 * TAU * (x + 0.06))), 6.0));
}

@fragment
fn fs_fabric(in: Surface, @builtin(front_facing) outside: bool) -> @location(0) vec4<f32> {
    let base = i32(in.part) * 5;
    let info = entry(base + 3);
    let shade = entry(base + 4);
    let rounds = i32(info.z);
    let first = i32(info.y);
    let v = max(in.along.x, 0.0);
    let i = clamp(i32(floor(v)), 0, max(rounds - 1, 0));
    // The link that gathers the end shut repeats its last round.
    let y = clamp(v - floor(v), 0.0, 1.0);
    let own = row(first, i);

    let core = in.along.y;
    let around = share_around(in.local.xy, core);
    let out = vec2<f32>(in.local.x - clamp(in.local.x, -core, core), in.local.y);
    let arm = out / max(length(out), 1e-5);
    let normal = normalize(in.local_normal) * select(-1.0, 1.0, outside);
    let around_dir = vec3<f32>(-arm.y, arm.x, 0.0);
    let up_dir = normalize(cross(normalize(in.local_normal), around_dir));

    // Size of a pixel in stitches across and rounds along; details smaller than it fade to their mean.
    let dx = dpdx(in.local);
    let dy = dpdy(in.local);
    let stitch_mm = max(around.y / own.count, 1e-4);
    let px_across = length(vec2<f32>(dot(dx, around_dir), dot(dy, around_dir))) / stitch_mm;
    let px_along = length(vec2<f32>(dpdx(in.along.x), dpdy(in.along.x)));
    let footprint = max(px_across, px_along);
    let see_stitch = 1.0 - smoothstep(0.22, 0.5, footprint);
    let see_round = 1.0 - smoothstep(0.25, 0.6, px_along);
    let see_ply = 1.0 - smoothstep(0.03, 0.085, footprint);

    // Which stitch, and where in it.
    let run = fract(around.x - own.start + 2.0) * own.count;
    let stitch = clamp(floor(run), 0.0, own.count - 1.0);
    let dice = hash(vec2<f32>(stitch * 7.31 + 1.7, f32(i) * 13.1 + info.x * 3.7));
    let dice2 = hash(vec2<f32>(stitch * 3.17 + 9.2, f32(i) * 5.3 + 4.1));
    var x = run - stitch - 0.5;
    let slack = 1.0 - 4.0 * x * x;
    x += slack * (0.05 * (dice - 0.5) + 0.07 * (y - 0.5));

    let byte = stitch_byte(own.first + i32(stitch));
    var yarn = own.colour;
    if (byte >> 2u) > 0u {
        yarn = entry(frame.bases.y + i32(byte >> 2u) - 1).rgb;
    }

    // Relief by finite differences, the step no finer than a pixel.
    let step_x = max(0.035, 0.6 * px_across);
    let step_y = max(0.035, 0.6 * px_along);
    var h = row_relief(x, y, own.tall, see_ply);
    var hx = row_relief(x + step_x, y, own.tall, see_ply);
    var hy = row_relief(x, y + step_y, own.tall, see_ply);
    if y < 0.27 && i > 0 {
        // The tops of the round below reach over the feet of this one.
        let below = row(first, i - 1);
        let run_below = fract(around.x - below.start + 2.0) * below.count;
        let xb = fract(run_below) - 0.5 + 0.035 * (1.0 - 4.0 * (fract(run_below) - 0.5) * (fract(run_below) - 0.5));
        let sb = step_x * below.count / own.count;
        let hb = row_relief(xb, y + 1.0, below.tall, see_ply);
        if hb > h {
            h = hb;
            let byte_below = stitch_byte(below.first + i32(clamp(floor(run_below), 0.0, below.count - 1.0)));
            yarn = below.colour;
            if (byte_below >> 2u) > 0u {
                yarn = entry(frame.bases.y + i32(byte_below >> 2u) - 1).rgb;
            }
        }
        hx = max(hx, row_relief(xb + sb, y + 1.0, below.tall, see_ply));
        hy = max(hy, row_relief(xb, y + step_y + 1.0, below.tall, see_ply));
        if own.ridge > 0.5 {
            h = max(h, ridge_relief(xb, y));
            hx = max(hx, ridge_relief(xb + sb, y));
            hy = max(hy, ridge_relief(xb, y + step_y));
        }
    }

    // The stitch's relief tilts the surface; the round's own bulge stays when stitches are too small to see.
    let swell = cos(0.5 * TAU * y);
    let tilt = vec2<f32>((hx - h) / step_x, (hy - h) / step_y);
    let depth = 0.26 * see_stitch;
    let bumped = normalize(
        normal - depth * clamp(tilt.x, -4.0, 4.0) * around_dir
            - (depth * clamp(tilt.y, -4.0, 4.0) + 0.16 * swell * (1.0 - see_stitch) * see_round) * up_dir,
    );
    let rows = mat3x3<f32>(entry(base).xyz, entry(base + 1).xyz, entry(base + 2).xyz);
    let n = bumped * rows;
    let n_smooth = normal * rows;

    // Deep between the strands little light arrives.
    let deep = smoothstep(0.0, 0.8, h);
    let pit_round = mix(0.80, 0.72 + 0.16 * smoothstep(0.0, 0.3, y) * (1.0 - smoothstep(0.8, 1.0, y)), see_round);
    var hollow = mix(pit_round, mix(0.30, 1.0, deep), see_stitch);

    // Fibres and small unevenness of hand work.
    let even = 1.0 + see_stitch * (0.07 * (dice2 - 0.5));
    let fibre = hash(floor(vec2<f32>(run * 42.0 + x * 20.0, v * 24.0 + x * 30.0)));
    let fluff = 1.0 + see_ply * 0.10 * (fibre - 0.5);
    var albedo = yarn * even * fluff;
    // Light within the yarn takes on its colour where it is deep.
    albedo = mix(albedo * mix(vec3<f32>(1.0), yarn + 0.35, 0.35), albedo, hollow);

    // Marks: a dot for an increase, a bar for a decrease. Their shape tells them apart, not their colour.
    let kind = byte & 3u;
    if kind > 0u && frame.chosen.z > 0 {
        let see_mark = 1.0 - smoothstep(0.10, 0.30, footprint);
        let soft = max(footprint, 0.03);
        let dot_edge = length(vec2<f32>(x, (y - 0.60) * 0.95)) - 0.125;
        let bar_edge = max(abs(x) - 0.24, abs(y - 0.60) - 0.065);
        let edge = select(bar_edge, dot_edge, kind == 1u);
        let cover = (1.0 - smoothstep(-soft, soft, edge)) * see_mark;
        let luma = dot(yarn, vec3<f32>(0.2126, 0.7152, 0.0722));
        let mark = select(mix(yarn, vec3<f32>(1.0), 0.72), yarn * 0.16, luma > 0.22);
        albedo = mix(albedo, mark, 0.85 * cover);
        hollow = mix(hollow, 1.0, 0.8 * cover);
    }

    // Soft shade and shadow from neighbouring parts, each a few spheres.
    let to_eye = normalize(frame.eye.xyz - in.toy);
    var open = 1.0;
    var lit = 1.0;
    for (var k = 0; k < i32(shade.y); k++) {
        let ball = entry(frame.bases.z + i32(shade.x) + k);
        let to = ball.xyz - in.toy;
        let d2 = max(dot(to, to), 1e-3);
        let d = sqrt(d2);
        let r2 = min(ball.w * ball.w / d2, 1.0);
        let facing = clamp(0.5 + 0.5 * dot(n_smooth, to) / d, 0.0, 1.0);
        open *= 1.0 - 0.75 * facing * facing * r2 * sqrt(r2);
        let ahead = dot(to, frame.to_key.xyz);
        let miss = sqrt(max(d2 - ahead * ahead, 0.0));
        let soft = 0.55 * ball.w + 0.12 * max(ahead, 0.0);
        lit *= 1.0 - 0.72 * step(0.0, ahead) * (1.0 - smoothstep(ball.w - soft, ball.w + 0.6 * soft, miss)) * smoothstep(0.0, 0.8 * ball.w, ahead);
    }
    let floor_near = clamp((in.toy.z - frame.ground.z) / (0.25 * frame.ground.w), 0.0, 1.0);
    open *= mix(0.62 + 0.38 * floor_near, 1.0, clamp(0.5 + 0.5 * n_smooth.z, 0.0, 1.0));

    let key = clamp((dot(n, frame.to_key.xyz) + 0.28) / 1.28, 0.0, 1.0);
    let fresnel = pow(1.0 - clamp(dot(n_smooth, to_eye), 0.0, 1.0), 3.0);
    var light = frame.key.rgb * key * lit * mix(0.55 + 0.45 * hollow, 1.0, 0.15) + ambient(n) * open * hollow;
    light += frame.rim.rgb * fresnel * open * (0.5 + 0.5 * hollow) * (0.6 + 0.4 * n_smooth.z);
    if !outside {
        light *= 0.45;
    }
    var colour = tone(albedo * light);

    // The chosen round glows into its neighbours and has an edge; a chosen part glows at its rim.
    if i32(info.x) == frame.chosen.x {
        let glow = frame.glow.rgb;
        if frame.chosen.y >= 0 {
            let begin = f32(frame.chosen.y);
            let away = max(max(begin - v, v - begin - 1.0), 0.0);
            let halo = exp(-5.0 * away * away) * select(0.38, 0.70, away <= 0.0) * (1.0 - smoothstep(0.8, 1.4, away));
            let body = glow * (0.42 + 0.75 * dot(light, vec3<f32>(0.25, 0.35, 0.2)) * mix(0.75, 1.0, hollow));
            colour = mix(colour, body, halo);
            let line = min(abs(v - begin), abs(v - begin - 1.0)) / max(px_along, 1e-4);
            colour = mix(colour, mix(glow, vec3<f32>(1.0), 0.55), (1.0 - smoothstep(0.7, 1.7, line)) * 0.9);
        } else {
            colour = mix(colour, glow, 0.75 * pow(1.0 - clamp(dot(n_smooth, to_eye), 0.0, 1.0), 2.0) + 0.06);
        }
    }
    return vec4<f32>(encode(colour), 1.0);
}
