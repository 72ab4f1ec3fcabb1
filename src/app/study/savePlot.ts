import { download, fileStem } from '../files/caseFiles.ts';
import { actions } from '../store.ts';
import { PRINT_INKS } from './plotDrawing.ts';
import { PLOT_TITLES, type PlotKind, plotOf } from './plots.ts';
import type { StudyResult } from './studyData.ts';

const PNG_SCALE = 3; // 560 px wide on the page, 1680 px in the file: 300 dpi at 14 cm

/** A plot as the text of an SVG file, in the inks of print. */
function svgText(kind: PlotKind, result: StudyResult): string | null {
  const drawn = plotOf(kind, result, PRINT_INKS);
  if (!(drawn instanceof SVGSVGElement)) return null;
  drawn.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  const title = document.createElementNS('http://www.w3.org/2000/svg', 'title');
  title.textContent = PLOT_TITLES[kind];
  drawn.prepend(title);
  return new XMLSerializer().serializeToString(drawn);
}

const nameOf = (kind: PlotKind, ending: string): string => `${fileStem()}-study-${kind}.${ending}`;

export function savePlotSvg(kind: PlotKind, result: StudyResult): void {
  const text = svgText(kind, result);
  if (text === null) return;
  download(nameOf(kind, 'svg'), text, 'image/svg+xml');
  actions().announce('Plot saved as SVG.');
}

export async function savePlotPng(kind: PlotKind, result: StudyResult): Promise<void> {
  const text = svgText(kind, result);
  if (text === null) return;
  const url = URL.createObjectURL(new Blob([text], { type: 'image/svg+xml' }));
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const canvas = document.createElement('canvas');
    canvas.width = image.width * PNG_SCALE;
    canvas.height = image.height * PNG_SCALE;
    const pen = canvas.getContext('2d');
    if (!pen) return;
    pen.fillStyle = PRINT_INKS.ground;
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(image, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, 'image/png'));
    if (!blob) return;
    const link = document.createElement('a');
    link.href = URL.createObjectURL(blob);
    link.download = nameOf(kind, 'png');
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
    actions().announce('Plot saved as PNG.');
  } finally {
    URL.revokeObjectURL(url);
  }
}
