/** Why a forecast is refused. Nothing is half computed: either a whole forecast comes back or this is thrown. */
export interface Reason {
  /** Where in what the person wrote, e.g. `lap.load`; empty when it is not one field. */
  field: string;
  /** Line of the program, where it is about one stint. */
  line?: number;
  /** What is wrong, what it means for the glass, what to do. */
  message: string;
}

export class RemovalRefused extends Error {
  readonly reasons: readonly Reason[];
  constructor(reasons: readonly Reason[]) {
    super(reasons.map(({ field, message }) => (field ? `${field}: ${message}` : message)).join('\n'));
    this.name = 'RemovalRefused';
    this.reasons = reasons;
  }
}
