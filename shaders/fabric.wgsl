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
    @location(1) along: vec2<f32>,                     // rounds from the start; half the section's core in mm
    @location(2) toy: vec3<f32>,
    @location(3) normal: vec3<f32>,                    // in the toy's frame
    @location(4) shade: vec2<f32>,                     // share of light from around, and of the key light
    @location(5) @interpolate(flat) axis_x: vec3<f32>, // the part's x and y axes in the toy's frame
    @location(6) @interpolate(flat) axis_y: vec3<f32>,
    @location(7) @interpolate(flat) part: u32,
    @location(8) @interpolate(flat) hand: f32,         // -1 in a mirrored part
}

@vertex
fn vs_fabric(corner: Corner) -> Surface {
    let base = i32(corner.part) * 5;
    let at = vec4<f32>(corner.position, 1.0);
    let row_x = entry(base);
    let row_y = entry(base + 1);
    let row_z = entry(base + 2);
    let normal = normalize(corner.normal.xyz);
    var out: Surface;
    out.toy = vec3<f32>(dot(row_x, at), dot(row_y, at), dot(row_z, at));
    out.clip = frame.clip_from_toy * vec4<f32>(out.toy, 1.0);
    out.local = corner.position;
    out.along = vec2<f32>(corner.round_coord, corner.core);
    out.normal = vec3<f32>(dot(row_x.xyz, normal), dot(row_y.xyz, normal), dot(row_z.xyz, normal));
    out.shade = shade(out.toy, out.normal, entry(base + 4));
    out.axis_x = vec3<f32>(row_x.x, row_y.x, row_z.x);
    out.axis_y = vec3<f32>(row_x.y, row_y.y, row_z.y);
    let axis_z = vec3<f32>(row_x.z, row_y.z, row_z.z);
    out.hand = sign(dot(cross(out.axis_x, out.axis_y), axis_z));
    out.part = corner.part;
    return out;
}

// Soft shade and shadow from neighbouring parts, each a few spheres, and from the floor.
fn shade(place: vec3<f32>, normal: vec3<f32>, list: vec4<f32>) -> vec2<f32> {
    var open = 1.0;
    var lit = 1.0;
    for (var k = 0; k < i32(list.y); k++) {
        let ball = entry(frame.bases.z + i32(list.x) + k);
        let to = ball.xyz - place;
        let d2 = max(dot(to, to), 1e-3);
        let d = sqrt(d2);
        let r2 = min(ball.w * ball.w / d2, 1.0);
        let facing = clamp(0.5 + 0.5 * dot(normal, to) / d, 0.0, 1.0);
        open *= 1.0 - 0.75 * facing * facing * r2 * sqrt(r2);
        let ahead = dot(to, frame.to_key.xyz);
        let miss = sqrt(max(d2 - ahead * ahead, 0.0));
        let soft = 0.55 * ball.w + 0.12 * max(ahead, 0.0);
        let hit = 1.0 - smoothstep(ball.w - soft, ball.w + 0.6 * soft, miss);
        lit *= 1.0 - 0.72 * hit * smoothstep(0.0, 0.8 * ball.w, ahead);
    }
    let lifted = clamp((place.z - frame.ground.z) / (0.25 * frame.ground.w), 0.0, 1.0);
    open *= mix(0.62 + 0.38 * lifted, 1.0, clamp(0.5 + 0.5 * normal.z, 0.0, 1.0));
    return vec2<f32>(open, lit);
}

const TAU: f32 = 6.2831853;
const STITCH_INCREASE: u32 = 1u;

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
    return Row(max(a.x, 1.0), a.y, max(a.z, 1.0), a.w, b.rgb, i32(b.w));
}

// The fabric's relief at a place.
struct Relief {
    height: f32,
    slope: vec2<f32>,   // of the height, per stitch width across and per round along
    across: f32,        // place across the strand (-1 to 1), to the right positive
    steep: f32,         // change of that place per stitch width
}

// One strand of a V. `x`: distance from the stitch's middle toward the strand's side (`side`: -1 or 1), in
// stitch widths; `y`: height within the round (the strand begins a little below 0 and ends a little above 1).
fn relief(x: f32, side: f32, y: f32, tall: f32, rough: f32) -> Relief {
    // A taller stitch stands on a post: its V keeps its size at the top.
    let v = 1.0 - (1.0 - y) * tall;
    let t = clamp((v + 0.14) * 0.78125, 0.0, 1.0);
    let centre = 0.055 + t * (0.355 - 0.03 * t);
    let wide = min(t * 1.6667, 1.0);
    let half = 0.15 + 0.10 * wide * wide * (3.0 - 2.0 * wide);
    let s = (x - centre) / half;
    // Round ends: the strand comes up out of the fabric and dives back into it.
    let foot = max((0.14 - y) / 0.26, 0.0);
    let head = max((y - 0.90) / 0.31, 0.0);
    let end = max(foot, head);
    let height = sqrt(max(1.0 - s * s - end * end, 0.0)) * (1.0 - 0.25 * end);
    let lean = (0.355 - 0.06 * t) * 0.78125 * tall;
    // Steep at its edges; where a pixel is wide the edge is soft.
    let fall = -height * s / max(1.0 - s * s, rough);
    let slope = vec2<f32>(fall * side / half, -fall * lean / half + 1.6 * foot - 2.0 * head);
    return Relief(height, slope, s * side, 1.0 / half);
}

fn merge(a: Relief, b: Relief, soft: f32) -> Relief {
    let share = smoothstep(-soft, soft, b.height - a.height);
    let higher = b.height > a.height;
    return Relief(
        max(a.height, b.height),
        mix(a.slope, b.slope, share),
        select(a.across, b.across, higher),
        select(a.steep, b.steep, higher),
    );
}

@fragment
fn fs_fabric(in: Surface, @builtin(front_facing) outside: bool) -> @location(0) vec4<f32> {
    let info = entry(i32(in.part) * 5 + 3);
    let rounds = i32(info.z);
    let first = i32(info.y);
    let v = max(in.along.x, 0.0);
    let i = clamp(i32(floor(v)), 0, max(rounds - 1, 0));
    // The link that gathers the end shut repeats its last round.
    let y = v - floor(v);
    let own = row(first, i);
    let below = row(first, max(i - 1, 0));

    // The surface's directions: outward, around with growing share, and from round to round.
    let core = in.along.y;
    let around = share_around(in.local.xy, core);
    let out = vec2<f32>(in.local.x - clamp(in.local.x, -core, core), in.local.y);
    let arm = out / max(length(out), 1e-5);
    let n_out = normalize(in.normal);
    let n_smooth = select(-n_out, n_out, outside);
    let around_dir = arm.x * in.axis_y - arm.y * in.axis_x;
    let up_dir = cross(n_out, around_dir) * in.hand;

    // Size of a pixel in stitches across and rounds along; details smaller than it fade to their mean.
    let around_local = vec2<f32>(-arm.y, arm.x);
    let stitch_mm = max(around.y / own.count, 1e-4);
    let px_across = length(vec2<f32>(dot(dpdx(in.local).xy, around_local), dot(dpdy(in.local).xy, around_local))) / stitch_mm;
    let px_along = length(vec2<f32>(dpdx(in.along.x), dpdy(in.along.x)));
    let footprint = max(px_across, px_along);
    let see_stitch = 1.0 - smoothstep(0.22, 0.5, footprint);
    let see_round = 1.0 - smoothstep(0.25, 0.6, px_along);
    let see_ply = 1.0 - smoothstep(0.03, 0.085, footprint);

    // Which stitch, and where in it: of this round, and of the round below, whose tops reach over its feet.
    let run = fract(around.x - own.start + 2.0) * own.count;
    let run_below = fract(around.x - below.start + 2.0) * below.count;
    let x_own = lean_by_hand(fract(run), y, floor(run), f32(i));
    let x_below = lean_by_hand(fract(run_below), 1.0 + y, floor(run_below), f32(i - 1));

    // The highest strand wins: this stitch's or its neighbour's, of this round or the one below. Where two
    // meet within a pixel they are mixed, so that the edge between them is smooth.
    let soft = clamp(2.2 * footprint, 0.02, 0.35);
    let rough = 0.05 + footprint;
    var top = relief(abs(x_own), sign(x_own), y, own.tall, rough);
    top = merge(top, relief(1.0 - abs(x_own), -sign(x_own), y, own.tall, rough), soft);
    var below_top = relief(abs(x_below), sign(x_below), y + 1.0, below.tall, rough);
    below_top = merge(below_top, relief(1.0 - abs(x_below), -sign(x_below), y + 1.0, below.tall, rough), soft);
    below_top.height *= select(0.0, 1.0, y < 0.24 && i > 0);
    let from_below = below_top.height > top.height;
    let x = select(x_own, x_below, from_below);
    let height_in_round = y + select(0.0, 1.0, from_below);
    top = merge(top, below_top, soft);
    let yarn_row = select(vec4<f32>(own.colour, f32(own.first)), vec4<f32>(below.colour, f32(below.first)), from_below);
    let stitch = select(clamp(floor(run), 0.0, own.count - 1.0), clamp(floor(run_below), 0.0, below.count - 1.0), from_below);
    let byte = stitch_byte(i32(yarn_row.w) + i32(stitch));
    let own_yarn = (byte >> 2u) == 0u;
    let yarn = select(entry(frame.bases.y + max(i32(byte >> 2u) - 1, 0)).rgb, yarn_row.rgb, own_yarn);

    var h = top.height;
    var slope = top.slope;
    // The plies of the yarn wind around the strand, the same way on both sides.
    let turn = TAU * (height_in_round * 2.6 * own.tall + 0.42 * top.across);
    let ply = sin(turn) * see_ply;
    slope += 0.15 * h * cos(turn) * see_ply * TAU * vec2<f32>(0.42 * top.steep, 2.6 * own.tall * 0.5);
    h *= 1.0 + 0.10 * ply;

    // Between the strands the stitch's bar lies deeper.
    let bar = (y - 0.70) / 0.36;
    let bar_height = 0.46 * sqrt(max(1.0 - bar * bar, 0.0));
    let barred = smoothstep(-soft, soft, bar_height - h);
    h = max(h, bar_height);
    slope = mix(slope, vec2<f32>(0.0, -1.5 * bar), barred);

    // The free front loops below a round worked into the back loops: a line of slanted links.
    if own.ridge > 0.5 {
        let middle = 0.13 + 0.05 * sin(TAU * (x_below + 0.1));
        let s = (y - middle) / 0.15;
        let link = sqrt(max(1.0 - s * s, 0.0)) * (1.12 - 0.30 * pow(abs(cos(0.5 * TAU * (x_below + 0.06))), 6.0));
        if link > h * 0.9 && link > 0.05 {
            h = link;
            slope = vec2<f32>(0.6 * cos(TAU * (x_below + 0.1)), -4.0 * s);
        }
    }

    // The stitch's relief tilts the surface; the round's own bulge stays when stitches are too small to see.
    let swell = 0.16 * cos(0.5 * TAU * y) * see_round * (1.0 - 0.5 * see_stitch);
    let tilt = clamp(slope, vec2<f32>(-4.0), vec2<f32>(4.0)) * 0.26 * see_stitch;
    let n = normalize(n_smooth - tilt.x * around_dir - (tilt.y + swell) * up_dir);

    // Deep between the strands, and in the groove between two rounds, little light arrives.
    let deep = smoothstep(0.0, 0.8, h);
    let groove = 1.0 - 0.30 * (1.0 - smoothstep(0.0, 0.14, min(y, 1.0 - y)));
    let far = mix(0.78, 0.90 * (1.0 - 0.34 * (1.0 - smoothstep(0.0, 0.30, min(y, 1.0 - y)))), see_round);
    var hollow = mix(far, mix(0.25, 1.0, deep) * groove, see_stitch);

    // Fibres and small unevenness of hand work.
    let dice = hash(vec2<f32>(stitch * 3.17 + 9.2, f32(i) * 5.3 + 4.1));
    let fibre = hash(floor(vec2<f32>(run * 42.0 + x * 20.0, v * 24.0 + x * 30.0)));
    var albedo = yarn * (1.0 + see_stitch * 0.07 * (dice - 0.5)) * (1.0 + see_ply * 0.10 * (fibre - 0.5));
    // Light within the yarn takes on its colour where it is deep.
    albedo = mix(albedo * mix(vec3<f32>(1.0), yarn + 0.35, 0.35), albedo, hollow);

    // Marks: a dot for an increase, a bar for a decrease. Their shape tells them apart, not their colour.
    let kind = byte & 3u;
    if kind > 0u && frame.chosen.z > 0 {
        let see_mark = 1.0 - smoothstep(0.10, 0.30, footprint);
        let blur = max(footprint, 0.03);
        let at = vec2<f32>(x, height_in_round - 0.60);
        let rim = select(max(abs(at.x) - 0.22, abs(at.y) - 0.06), length(at) - 0.12, kind == STITCH_INCREASE);
        let cover = (1.0 - smoothstep(-blur, blur, rim)) * see_mark;
        let luma = dot(yarn, vec3<f32>(0.2126, 0.7152, 0.0722));
        let mark = select(mix(yarn, vec3<f32>(1.0), 0.45), yarn * 0.14, luma > 0.22);
        albedo = mix(albedo, mark, 0.75 * cover);
        hollow = mix(hollow, 1.0, 0.7 * cover);
    }

    let to_eye = normalize(frame.eye.xyz - in.toy);
    let key = clamp((dot(n, frame.to_key.xyz) + 0.28) / 1.28, 0.0, 1.0);
    let graze = 1.0 - clamp(dot(n_smooth, to_eye), 0.0, 1.0);
    var light = frame.key.rgb * key * in.shade.y * (0.62 + 0.38 * hollow) + ambient(n) * in.shade.x * hollow;
    light += frame.rim.rgb * graze * graze * graze * in.shade.x * (0.5 + 0.5 * hollow) * (0.6 + 0.4 * n_smooth.z);
    light *= select(0.45, 1.0, outside);
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
            // A bright hairline with a dark one outside it stands out from every yarn.
            let px = max(px_along, 1e-4);
            let line = min(abs(v - begin), abs(v - begin - 1.0)) / px;
            let outer = select(0.0, 1.0, away > 0.0);
            colour = mix(colour, colour * 0.25, outer * (1.0 - smoothstep(2.2, 3.4, line)) * 0.7);
            colour = mix(colour, mix(glow, vec3<f32>(1.0), 0.6), (1.0 - smoothstep(0.9, 1.9, line)) * 0.92);
        } else {
            colour = mix(colour, glow, 0.85 * graze * graze * graze + 0.03);
        }
    }
    return vec4<f32>(encode(colour), 1.0);
}

// Place across a stitch (-0.5 to 0.5), leaning a little with the way it is worked and with the hand.
fn lean_by_hand(share: f32, y: f32, stitch: f32, round: f32) -> f32 {
    let x = share - 0.5;
    let dice = hash(vec2<f32>(stitch * 7.31 + 1.7, round * 13.1 + 3.7));
    return x + (1.0 - 4.0 * x * x) * (0.05 * (dice - 0.5) + 0.07 * (y - 0.5));
}
