"""Points and directions in physical proportions, many tracings at once.

A point or direction is an array whose last axis holds x and y; the axes before it run over tracings.
y points down, so that a positive cross product means clockwise on the screen.
"""

import numpy


def dot(first, second):
    return first[..., 0] * second[..., 0] + first[..., 1] * second[..., 1]


def cross(first, second):
    return first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0]


def length(vector):
    return numpy.sqrt(dot(vector, vector))


def scaled(vector, factor):
    return vector * numpy.asarray(factor)[..., None]


def unit(vector):
    return scaled(vector, 1.0 / length(vector))


def perpendicular(vector):
    return numpy.stack([-vector[..., 1], vector[..., 0]], axis=-1)


def turn(first, second):
    return numpy.arctan2(cross(first, second), dot(first, second))


def middle(first, second):
    return 0.5 * (first + second)


def reversed_if(condition, vector):
    return numpy.where(numpy.asarray(condition)[..., None], -vector, vector)
