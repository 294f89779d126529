/** The removal coefficient that is known best for what a program puts together: learned from measured runs, else the published one. */
import { BEFORE_LEARNING, combine } from '../../planner/learn/combine';
import type { Program } from '../../planner/program/types';
import { EvidenceBook } from './evidence';

/** 1/Pa. What virtual runs taught holds for virtual runs only. Throws LogbookError. */
export function knownCoefficient(file: string, { lap, slurry, glass }: Program, virtual: boolean): number {
  const book = EvidenceBook.open(file);
  try {
    const taught = book.of({ lapId: lap.id, slurryId: slurry?.id ?? null, glassId: glass.id, virtual });
    if (taught.length === 0) return BEFORE_LEARNING.kPerPa;
    const minutes = taught.reduce((sum, one) => sum + one.minutes, 0);
    return combine(
      taught.map(({ evidence }) => evidence),
      BEFORE_LEARNING,
      minutes,
    ).kPerPa;
  } finally {
    book.close();
  }
}
