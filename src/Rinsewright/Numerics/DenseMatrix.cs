namespace Rinsewright.Numerics;

/// <summary>Small full matrices, stored by rows in spans.</summary>
internal static class DenseMatrix
{
    /// <summary>Lower triangle L with L·Lᵀ = A, in place of A (its upper triangle is cleared).</summary>
    /// <param name="a">Symmetric positive matrix [any]; length n².</param>
    /// <param name="n">Order [-].</param>
    /// <returns>Whether A is positive definite.</returns>
    public static bool Cholesky(Span<double> a, int n)
    {
        for (int j = 0; j < n; j++)
        {
            double diagonal = a[(j * n) + j];
            for (int k = 0; k < j; k++)
            {
                diagonal -= a[(j * n) + k] * a[(j * n) + k];
            }

            if (!(diagonal > 0))
            {
                return false;
            }

            diagonal = Math.Sqrt(diagonal);
            a[(j * n) + j] = diagonal;
            for (int i = j + 1; i < n; i++)
            {
                double sum = a[(i * n) + j];
                for (int k = 0; k < j; k++)
                {
                    sum -= a[(i * n) + k] * a[(j * n) + k];
                }

                a[(i * n) + j] = sum / diagonal;
                a[(j * n) + i] = 0;
            }
        }

        return true;
    }
}
