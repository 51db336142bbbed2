precision highp float;
precision highp int;
precision highp usampler2D;

// The film's codes with their reduced copies as mip levels, and 65,536 brightnesses as 256 x 256.
uniform usampler2D u_film;
uniform usampler2D u_curve;

// The film under the screen: see PixelGrid. Steps and boxes are in pixels of the film.
uniform vec2 u_upper_left;
uniform vec2 u_origin;
uniform vec2 u_across;
uniform vec2 u_down;
uniform vec2 u_footprint;
uniform vec2 u_film_size;
uniform int u_level;
uniform float u_tie_break;

// The look of the film.
uniform vec2 u_ramp;
uniform bool u_has_curve;
uniform bool u_dark_is_large;
uniform ivec2 u_padding;
uniform vec3 u_surround;

// A circle in screen pixels; without a radius everything is drawn.
uniform vec2 u_circle_centre;
uniform float u_circle_radius;

// An outline in screen pixels, of up to MOST_CORNERS corners; without corners everything is drawn.
uniform int u_corner_count;
uniform vec2 u_corners[160];

// A premultiplied colour in place of the film.
uniform bool u_is_shade;
uniform vec4 u_shade;

out vec4 colour;

// The pixels of one level along one side that the box covers: first, last.
ivec2 covered(float centre, float size, int count, float tie_break) {
    if (size <= 1.0) {
        return clamp(ivec2(floor(centre + tie_break)), 0, count - 1);
    }
    int first = int(floor(centre - 0.5 * size));
    int last = int(ceil(centre + 0.5 * size)) - 1;
    return clamp(ivec2(first, max(first, last)), 0, count - 1);
}

// How much of a pixel the box covers; all of it where the film is magnified.
float weight(int pixel, float centre, float size) {
    if (size <= 1.0) {
        return 1.0;
    }
    float low = max(float(pixel), centre - 0.5 * size);
    float high = min(float(pixel) + 1.0, centre + 0.5 * size);
    return max(high - low, 0.0);
}

float mean_code(vec2 point) {
    ivec2 count = textureSize(u_film, u_level);
    vec2 scale = vec2(count) / u_film_size;
    vec2 centre = point * scale;
    vec2 size = u_footprint * scale;
    ivec2 columns = covered(centre.x, size.x, count.x, u_tie_break * scale.x);
    ivec2 rows = covered(centre.y, size.y, count.y, u_tie_break * scale.y);
    if (columns.x == columns.y && rows.x == rows.y) {
        return float(texelFetch(u_film, ivec2(columns.x, rows.x), u_level).r);
    }
    float sum = 0.0;
    float area = 0.0;
    for (int row = rows.x; row <= rows.y; row++) {
        float row_weight = weight(row, centre.y, size.y);
        for (int column = columns.x; column <= columns.y; column++) {
            float share = row_weight * weight(column, centre.x, size.x);
            sum += share * float(texelFetch(u_film, ivec2(column, row), u_level).r);
            area += share;
        }
    }
    if (area <= 0.0) {
        return float(texelFetch(u_film, ivec2(columns.x, rows.x), u_level).r);
    }
    return floor(sum / area + 0.5);
}

float brightness(float code) {
    if (u_has_curve) {
        int index = int(code);
        return float(texelFetch(u_curve, ivec2(index % 256, index / 256), 0).r) / 65535.0;
    }
    if (code <= u_ramp.x) {
        return 0.0;
    }
    if (code >= u_ramp.y) {
        return 1.0;
    }
    return (code - u_ramp.x) / (u_ramp.y - u_ramp.x);
}

// How much of a pixel the outline covers, from 0 to 1; see Coverage.
float coverage(vec2 pixel) {
    if (u_corner_count == 0) {
        return 1.0;
    }
    bool inside = false;
    float nearest = 1.0;
    vec2 from = u_corners[u_corner_count - 1];
    for (int index = 0; index < u_corner_count; index++) {
        vec2 to = u_corners[index];
        vec2 along = to - from;
        vec2 away = pixel - from;
        float share = clamp(dot(away, along) / max(dot(along, along), 1e-12), 0.0, 1.0);
        nearest = min(nearest, distance(away, share * along));
        if ((from.y > pixel.y) != (to.y > pixel.y) && away.x < away.y / along.y * along.x) {
            inside = !inside;
        }
        from = to;
    }
    return clamp(0.5 + (inside ? nearest : -nearest), 0.0, 1.0);
}

// The colour of the film, or of what is beside it.
vec3 film_colour(vec2 point) {
    if (any(lessThan(point, vec2(0.0))) || any(greaterThanEqual(point, u_film_size))) {
        return u_surround;
    }
    float code = mean_code(point);
    if (code >= float(u_padding.x) && code <= float(u_padding.y)) {
        return u_surround;
    }
    float bright = brightness(code);
    return vec3(floor((u_dark_is_large ? 1.0 - bright : bright) * 255.0 + 0.5) / 255.0);
}

void main() {
    vec2 pixel = vec2(gl_FragCoord.x - u_upper_left.x, u_upper_left.y - gl_FragCoord.y);
    if (u_circle_radius > 0.0 && distance(pixel, u_circle_centre) > u_circle_radius) {
        discard;
    }
    float share = coverage(pixel);
    if (share <= 0.0) {
        discard;
    }
    vec2 point = u_origin + pixel.x * u_across + pixel.y * u_down;
    colour = share * (u_is_shade ? u_shade : vec4(film_colour(point), 1.0));
}
