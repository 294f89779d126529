/** Gauss-Legendre rules on [-1, 1], computed by Newton's method on the Legendre polynomial (textbook numerics). */
export interface GaussRule {
  nodes: Float64Array;
  weights: Float64Array;
}

const rules = new Map<number, GaussRule>();

export function gaussRule(count: number): GaussRule {
  const known = rules.get(count);
  if (known) return known;
  const nodes = new Float64Array(count);
  const weights = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (count + 0.5));
    let slope = 1;
    for (let step = 0; step < 50; step++) {
      let before = 1;
      let value = x;
      for (let k = 2; k <= count; k++) [before, value] = [value, ((2 * k - 1) * x * value - (k - 1) * before) / k];
      slope = (count * (x * value - before)) / (x * x - 1);
      const change = value / slope;
      x -= change;
      if (Math.abs(change) < 1e-15) break;
    }
    nodes[count - 1 - i] = x;
    weights[count - 1 - i] = 2 / ((1 - x * x) * slope * slope);
  }
  const rule = { nodes, weights };
  rules.set(count, rule);
  return rule;
}
