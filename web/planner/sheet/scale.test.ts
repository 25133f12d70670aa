import { expect, it } from 'vitest';

import { barFor, roundBelow } from './scale';

it('rounds down to 1, 2 or 5', () => expect([1, 1.9, 2, 4.9, 5, 99, 0.03].map(roundBelow)).toEqual([1, 1, 2, 2, 5, 50, 0.02]));

it('draws a bar no longer than its room', () => expect(barFor(0.5)).toEqual({ metres: 50, pixels: 100 }));
