import { useEffect, useState } from 'preact/hooks';

/** Width of an element as it is laid out, px; 0 before that. */
export function useWidth(element: { current: HTMLElement | null }): number {
  const [width, setWidth] = useState(0);
  useEffect(() => {
    const box = element.current!;
    const observer = new ResizeObserver(() => setWidth(box.clientWidth));
    observer.observe(box);
    setWidth(box.clientWidth);
    return () => observer.disconnect();
  }, []);
  return width;
}
