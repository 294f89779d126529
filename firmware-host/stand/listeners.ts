/** Those who asked to be told of one kind of thing. */
export class Listeners<T> {
  private readonly all = new Set<(value: T) => void>();

  get isEmpty(): boolean {
    return this.all.size === 0;
  }

  add(listener: (value: T) => void): () => void {
    this.all.add(listener);
    return () => {
      this.all.delete(listener);
    };
  }

  tell(value: T): void {
    for (const listener of this.all) listener(value);
  }
}
