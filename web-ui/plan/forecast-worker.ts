/** Reckons forecasts off the page's own thread. One ask, one answer; what it cannot do comes back as words. */
import { type Forecast, type ForecastAsk, forecast } from './forecast';

export type Reckoned = { forecast: Forecast } | { number: number; failed: string };

addEventListener('message', ({ data }: MessageEvent<ForecastAsk>) => {
  let answer: Reckoned;
  try {
    answer = { forecast: forecast(data) };
  } catch (error) {
    answer = { number: data.number, failed: error instanceof Error ? error.message : String(error) };
  }
  // In a worker there is no target origin; the types of a page's window want one.
  (self as unknown as { postMessage(answer: Reckoned): void }).postMessage(answer);
});
